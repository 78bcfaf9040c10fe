package duct

import (
	"fmt"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"lostair/readings/units"
)

// decode reads the whole tree. Rows that can't be read at all are left out,
// and their list is marked bad. The System is nil if there is nothing to check.
func (r *reader) decode(root ast.Node) (*System, *sheet, names) {
	s, sh, n := &System{File: r.file}, fileSheet(), names{}
	sh.loose = !r.findUnits(root)
	s.Units = r.units
	top, ok := r.read(root, "", "the system file")
	if !ok {
		return nil, sh, n
	}
	s.Name = top.text("name")
	s.Air = r.air(top.node("air"), sh)
	if c := top.node("collector"); c != nil {
		s.Collector = r.collector(c, sh)
	}
	r.table(&top, "ducts", func(f *fields) {
		d, m := r.duct(f)
		s.Ducts, sh.ducts, n.into = append(s.Ducts, d), append(sh.ducts, m), append(n.into, f.text("into"))
	})
	r.table(&top, "ports", func(f *fields) {
		p, m := r.port(f)
		s.Ports, sh.ports, n.ducts = append(s.Ports, p), append(sh.ports, m), append(n.ducts, f.text("duct"))
	})
	r.table(&top, "machines", func(f *fields) {
		x, ports := r.machine(f)
		s.Machines, sh.machines, n.machines = append(s.Machines, x), append(sh.machines, f.marks), append(n.machines, ports)
	})
	s.Room = r.room(top.node("room"), sh)
	s.Settings = r.settings(top.node("settings"))
	r.table(&top, "instruments", func(f *fields) {
		s.Instruments, sh.instruments = append(s.Instruments, r.instrument(f)), append(sh.instruments, f.marks)
	})
	s.Limits = r.limits(top.node("limits"), sh)
	s.Uncertainty = r.uncertainty(top.node("uncertainty"), sh)
	sh.top = top.marks
	return s, sh, n
}

// table reads a list whose rows are mappings.
func (r *reader) table(top *fields, name string, do func(f *fields)) {
	noun := sectionNamed(name).noun
	whole := r.rows(top.node(name), name, func(i int, row ast.Node) bool {
		f, ok := r.read(row, name, fmt.Sprintf("%s %d", noun, i))
		if ok {
			do(&f)
		}
		return ok
	})
	if m := top.find(name); m != nil && !whole {
		m.bad = true
	}
}

// findUnits looks for the unit system before any number is read, wherever
// the key stands. False: it is missing or wrong, which read reports.
func (r *reader) findUnits(root ast.Node) bool {
	rows, _ := entries(root)
	for _, kv := range rows {
		if key, _ := plain(kv.Key); key != "units" {
			continue
		}
		switch v, _ := plain(kv.Value); v {
		case units.Metric.String():
			r.units = units.Metric
			return true
		case units.US.String():
			r.units = units.US
			return true
		}
		return false
	}
	return false
}

func (r *reader) air(n ast.Node, sh *sheet) Air {
	if n == nil {
		return standardAir()
	}
	f, ok := r.read(n, "air", "air")
	if !ok {
		return standardAir()
	}
	sh.air = f.marks
	if f.has("pressure") && f.has("altitude") {
		r.add(f.pos("altitude"), "air has both pressure and altitude", "leave one of them out: the barometer at the site is the surer one")
	}
	return Air{
		Temperature: f.number("temperature", standardTemperature),
		Altitude:    f.number("altitude", 0),
		Barometer:   f.number("pressure", 0),
		Humidity:    f.number("humidity", 0),
	}
}

// settings reads the gate settings in use. Whether there are such gates is
// checked when the whole file is known.
func (r *reader) settings(n ast.Node) (out []Setting) {
	if text, ok := plain(n); ok && n != nil {
		r.add(at(n), "settings is not a list", "write it in brackets, a comma between two settings: ["+strings.TrimSpace(cut(text))+"]")
		return nil
	}
	r.rows(n, "settings", func(_ int, row ast.Node) bool {
		text, ok := plain(row)
		if !ok {
			r.add(at(row), "settings: this is no gate setting", "write gate ids joined with +, or all")
			return false
		}
		t := Setting{Pos: at(row)}
		switch word := strings.ToLower(strings.TrimSpace(text)); word {
		case "all", "none":
			t.All = word == "all"
		default:
			for _, id := range strings.Split(text, "+") {
				t.Gates = append(t.Gates, strings.TrimSpace(id))
			}
		}
		out = append(out, t)
		return true
	})
	return out
}

// measured is what an instrument can measure, by the names of the system file.
var measured = map[string]units.Dimension{
	"pressure": units.Pressure, "velocity": units.Velocity,
	"speed": units.Rotation, "current": units.Current, "power": units.Power,
}

func (r *reader) instrument(f *fields) Instrument {
	x := Instrument{ID: f.text("id"), Measures: units.Pressure, OfReading: f.number("of_reading", 0), Size: f.number("size", 0), Pos: f.row}
	if d, ok := measured[f.text("measures")]; ok {
		x.Measures = d
	}
	if i := f.index("floor"); i >= 0 && f.good("measures") {
		k := *sectionNamed("instruments").key("floor")
		k.Dim = x.Measures
		x.Floor = r.amount(f.who, &k, &f.list[i])
	}
	return x
}

func (r *reader) limits(n ast.Node, sh *sheet) (out Limits) {
	if n == nil {
		return out
	}
	f, ok := r.read(n, "limits", "limits")
	if !ok || f.node("conveying_velocity") == nil {
		return out
	}
	g, ok := r.read(f.node("conveying_velocity"), "limits.conveying_velocity", "the conveying velocity")
	if !ok {
		return out
	}
	sh.convey = g.marks
	return Limits{ConveyBranch: g.number("branch", 0), ConveyMain: g.number("main", 0)}
}

func (r *reader) room(n ast.Node, sh *sheet) (out Room) {
	if n == nil {
		return out
	}
	f, ok := r.read(n, "room", "the room")
	if !ok {
		return out
	}
	sh.room = f.marks
	return Room{Inlets: f.number("inlets", 0)}
}

func (r *reader) uncertainty(n ast.Node, sh *sheet) (out Uncertainty) {
	if n == nil {
		return out
	}
	f, ok := r.read(n, "uncertainty", "uncertainty")
	if !ok {
		return out
	}
	sh.uncertainty = f.marks
	return Uncertainty{Losses: f.number("losses", 0), Fan: f.number("fan", 0), Filter: f.number("filter", 0)}
}
