package systemfile

import (
	"fmt"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/keys"
	"lostair/readings/units"
)

// decode reads the whole tree. Rows that can't be read at all are left out,
// and their list is marked bad. The System is nil if there is nothing to check.
func (r *reader) decode(root ast.Node) (*duct.System, *keys.Sheet, names) {
	s, sh, n := &duct.System{File: r.file}, keys.NewSheet(), names{}
	sh.Loose = !r.findUnits(root)
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
		s.Ducts, sh.Ducts, n.into = append(s.Ducts, d), append(sh.Ducts, m), append(n.into, f.text("into"))
	})
	r.table(&top, "ports", func(f *fields) {
		p, m := r.port(f)
		s.Ports, sh.Ports, n.ducts = append(s.Ports, p), append(sh.Ports, m), append(n.ducts, f.text("duct"))
	})
	r.table(&top, "machines", func(f *fields) {
		x, ports := r.machine(f)
		s.Machines, sh.Machines, n.machines = append(s.Machines, x), append(sh.Machines, f.Marks), append(n.machines, ports)
	})
	s.Room = r.room(top.node("room"), sh)
	s.Settings = r.settings(top.node("settings"))
	r.table(&top, "instruments", func(f *fields) {
		s.Instruments, sh.Instruments = append(s.Instruments, r.instrument(f)), append(sh.Instruments, f.Marks)
	})
	s.Limits = r.limits(top.node("limits"), sh)
	s.Uncertainty = r.uncertainty(top.node("uncertainty"), sh)
	sh.Top = top.Marks
	return s, sh, n
}

// table reads a list whose rows are mappings.
func (r *reader) table(top *fields, name string, do func(f *fields)) {
	noun := keys.SectionNamed(name).Noun
	whole := r.rows(top.node(name), name, func(i int, row ast.Node) bool {
		f, ok := r.read(row, name, fmt.Sprintf("%s %d", noun, i))
		if ok {
			do(&f)
		}
		return ok
	})
	if m := top.Find(name); m != nil && !whole {
		m.Bad = true
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

func (r *reader) air(n ast.Node, sh *keys.Sheet) duct.Air {
	if n == nil {
		return duct.StandardAir()
	}
	f, ok := r.read(n, "air", "air")
	if !ok {
		return duct.StandardAir()
	}
	sh.Air = f.Marks
	if f.has("pressure") && f.has("altitude") {
		r.add(f.Pos("altitude"), "air has both pressure and altitude", "leave one of them out: the barometer at the site is the surer one")
	}
	return duct.Air{
		Temperature: f.number("temperature", duct.StandardAir().Temperature),
		Altitude:    f.number("altitude", 0),
		Barometer:   f.number("pressure", 0),
		Humidity:    f.number("humidity", 0),
	}
}

// settings reads the gate settings in use. Whether there are such gates is
// checked when the whole file is known.
func (r *reader) settings(n ast.Node) (out []duct.Setting) {
	if text, ok := plain(n); ok && n != nil {
		r.add(At(n), "settings is not a list", "write it in brackets, a comma between two settings: ["+strings.TrimSpace(keys.Cut(text))+"]")
		return nil
	}
	r.rows(n, "settings", func(_ int, row ast.Node) bool {
		text, ok := plain(row)
		if !ok {
			r.add(At(row), "settings: this is no gate setting", "write gate ids joined with +, or all")
			return false
		}
		t := duct.Setting{Pos: At(row)}
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

func (r *reader) instrument(f *fields) duct.Instrument {
	x := duct.Instrument{ID: f.text("id"), Measures: units.Pressure, OfReading: f.number("of_reading", 0), Size: f.number("size", 0), Pos: f.Row}
	if d, ok := measured[f.text("measures")]; ok {
		x.Measures = d
	}
	if i := f.index("floor"); i >= 0 && f.good("measures") {
		k := *keys.SectionNamed("instruments").Key("floor")
		k.Dim = x.Measures
		x.Floor = r.amount(f.who, &k, &f.List[i])
	}
	return x
}

func (r *reader) limits(n ast.Node, sh *keys.Sheet) (out duct.Limits) {
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
	sh.Convey = g.Marks
	return duct.Limits{ConveyBranch: g.number("branch", 0), ConveyMain: g.number("main", 0)}
}

func (r *reader) room(n ast.Node, sh *keys.Sheet) (out duct.Room) {
	if n == nil {
		return out
	}
	f, ok := r.read(n, "room", "the room")
	if !ok {
		return out
	}
	sh.Room = f.Marks
	return duct.Room{Inlets: f.number("inlets", 0)}
}

func (r *reader) uncertainty(n ast.Node, sh *keys.Sheet) (out duct.Uncertainty) {
	if n == nil {
		return out
	}
	f, ok := r.read(n, "uncertainty", "uncertainty")
	if !ok {
		return out
	}
	sh.Uncertainty = f.Marks
	return duct.Uncertainty{Losses: f.number("losses", 0), Fan: f.number("fan", 0), Filter: f.number("filter", 0)}
}
