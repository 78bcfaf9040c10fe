package duct

import (
	"fmt"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"lostair/readings/problem"
	"lostair/readings/units"
)

// names are the ids by which rows refer to ducts, in step with the System's
// slices, until they are resolved.
type names struct {
	into  []string // of each duct
	ducts []string // of each port

	machines [][]portName // of each machine
}

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

// Standard air: dry, 20 °C, at sea level (1.204 kg/m³).
const standardTemperature = 293.15

func standardAir() Air { return Air{Standard: true, Temperature: standardTemperature} }

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

func (r *reader) collector(n ast.Node, sh *sheet) (c Collector) {
	f, ok := r.read(n, "collector", "the collector")
	if !ok {
		return c
	}
	sh.collector = f.marks
	c.Pos = f.row
	c.Inlet = f.number("inlet", 0)
	c.Bin = f.number("bin", 0) != 0
	r.fan(f.node("fan"), &c, sh)
	c.Cyclone = r.drop(f.node("cyclone"), "cyclone", &c, &sh.drops[0])
	c.Filter = r.drop(f.node("filter"), "filter", &c, &sh.drops[1])
	c.Order = r.order(f.node("order"), sh)
	return c
}

// drop reads the loss of a part; true stands for one that nobody knows, false for none.
func (r *reader) drop(n ast.Node, what string, c *Collector, m *marks) *Drop {
	if n == nil {
		return nil
	}
	if text, ok := plain(n); ok {
		if yes, ok := yesNo(text); yes {
			*m = marks{row: at(n), written: true}
			return guessedDrop(what, c.Inlet)
		} else if ok {
			return nil
		}
		s := sectionNamed("collector." + what)
		r.add(at(n), "the "+what+" is not a set of keys", "write "+strings.Join(s.names(), ", ")+", each as key: value, or true if you don't know its loss")
		return nil
	}
	f, ok := r.read(n, "collector."+what, "the "+what)
	if !ok {
		return nil
	}
	*m = f.marks
	return &Drop{Pressure: f.number("drop", 0), At: f.number("at", 0)}
}

// curve reads [flow, pressure] pairs. A pair that can't be read has been
// reported, and stands in the list with its bad marks.
func (r *reader) curve(n ast.Node, sh *sheet) (out []CurvePoint) {
	s := sectionNamed("collector.fan.curve")
	if seq, ok := n.(*ast.SequenceNode); ok && len(seq.Values) > maxPoints {
		r.add(at(n), fmt.Sprintf("the fan curve has %d points", len(seq.Values)), fmt.Sprintf("give %d at most", maxPoints))
		return nil
	}
	r.rows(n, "the fan curve", func(i int, row ast.Node) bool {
		m := marks{row: at(row), written: true}
		seq, ok := row.(*ast.SequenceNode)
		if !ok || len(seq.Values) != len(s.keys) {
			r.add(m.row, fmt.Sprintf("point %d of the fan curve is not a pair", i), "write [flow, pressure], for example [800, 2850]; decimals with a point")
			m.list = []mark{{key: "flow", pos: m.row, bad: true}, {key: "pressure", pos: m.row, bad: true}}
			out, sh.curve = append(out, CurvePoint{}), append(sh.curve, m)
			return true
		}
		var v [2]float64
		for j, n := range seq.Values {
			k := mark{key: s.keys[j].Name, pos: at(n)}
			if k.text, ok = plain(n); !ok {
				r.add(k.pos, fmt.Sprintf("point %d of the fan curve: %s is not a number", i, k.key), "write [flow, pressure], for example [800, 2850]")
				k.bad = true
			} else {
				v[j] = r.value(fmt.Sprintf("point %d of the fan curve", i), &s.keys[j], &k)
			}
			m.list = append(m.list, k)
		}
		out, sh.curve = append(out, CurvePoint{v[0], v[1]}), append(sh.curve, m)
		return true
	})
	return out
}

// order reads the parts in order of flow, as they are written; a name that is
// no part is reported and left out.
func (r *reader) order(n ast.Node, sh *sheet) (out []Part) {
	whole := r.rows(n, "order", func(_ int, row ast.Node) bool {
		name, ok := plain(row)
		for p := range partNames {
			if ok && partNames[p] == name {
				out, sh.order = append(out, Part(p)), append(sh.order, mark{key: name, pos: at(row)})
				return true
			}
		}
		r.add(at(row), "order: "+quote(name)+" is no part of the collector", choose(partNames[:], name))
		return false
	})
	if m := sh.collector.find("order"); m != nil && !whole {
		m.bad = true
	}
	return out
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

// resolve puts indices in place of the names of ducts. What can't be
// resolved gets the index unknown.
func (r *reader) resolve(s *System, sh *sheet, n names) {
	ids := make([]string, 0, len(s.Ducts)+1)
	for i := range s.Ducts {
		ids = append(ids, s.Ducts[i].ID)
	}
	byID := byLettersOf(ids)
	look := speller{near: append(ids, collectorID)}
	for i, id := range n.into {
		s.Ducts[i].Into = unknown
		if m := &sh.ducts[i]; m.bad("into") {
			continue
		} else if id == collectorID {
			s.Ducts[i].Into = IntoCollector
		} else if j, ok := byID.find(id); ok {
			s.Ducts[i].Into = j
		} else if strings.EqualFold(id, collectorID) {
			s.Ducts[i].Into = IntoCollector
		} else if !sh.top.bad("ducts") {
			r.add(m.pos("into"), fmt.Sprintf("duct %s flows into %s, and there is no such duct", quote(s.Ducts[i].ID), quote(id)),
				look.hint(id, "write the id of a duct, or collector"))
		}
	}
	look.near = ids
	for i, id := range n.ducts {
		s.Ports[i].Duct = unknown
		if m := &sh.ports[i]; m.bad("duct") {
			continue
		} else if j, ok := byID.find(id); ok {
			s.Ports[i].Duct = j
		} else if !sh.top.bad("ducts") {
			r.add(m.pos("duct"), fmt.Sprintf("port %s is on duct %s, and there is no such duct", quote(s.Ports[i].ID), quote(id)),
				look.hint(id, "write the id of a duct that nothing flows into"))
		}
	}
	r.resolveMachines(s, n)
}

const (
	collectorID = "collector"
	unknown     = -2 // a duct's Into or a port's Duct that was reported
)

// speller finds the id that was meant. It gives up after a bounded number of
// comparisons, so that a big file full of wrong ids is still reported soon.
type speller struct {
	near []string
	done int
}

func (l *speller) hint(id, otherwise string) string {
	const most = 200_000
	if l.done += len(l.near); l.done > most {
		return otherwise
	}
	if near, ok := problem.Nearest(cut(id), l.near); ok {
		return "did you mean " + quote(near) + "?"
	}
	return otherwise
}
