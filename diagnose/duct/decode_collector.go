package duct

import (
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

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

// fan reads the fan by any of the ways in which it can be described.
func (r *reader) fan(n ast.Node, c *Collector, sh *sheet) {
	if n == nil {
		return
	}
	if _, text := plain(n); text {
		r.add(at(n), "the fan is not a set of keys", "write {curve: ...}, {most_air: ..., most_suction: ...} or {motor: ..., wheel: ...}; or leave the fan out: then the readings tell its curve")
		return
	}
	f, ok := r.read(n, "collector.fan", "the fan")
	if !ok {
		return
	}
	sh.fan = f.marks
	c.Density = f.number("density", 0)
	c.Rated = f.number("speed", 0)
	c.Curve = r.curve(f.node("curve"), sh)
	c.Whole = r.included(f.node("includes"), sh)
	g := FanGuess{
		MostAir: f.number("most_air", 0), MostSuction: f.number("most_suction", 0),
		Motor: f.number("motor", 0), Wheel: f.number("wheel", 0),
	}
	if slices.ContainsFunc(guessKeys, f.has) {
		c.Guess = &g
	}
}

// included reads the parts that the curve has in it.
func (r *reader) included(n ast.Node, sh *sheet) (out []Part) {
	names := sectionNamed("collector.fan").key("includes").Choices
	whole := r.rows(n, "includes", func(_ int, row ast.Node) bool {
		name, _ := plain(row)
		if !slices.Contains(names, name) {
			r.add(at(row), "includes: "+quote(name)+" is no part that a fan's curve can include", choose(names, name))
			return false
		}
		for p := range partNames {
			if partNames[p] == name && !slices.Contains(out, Part(p)) {
				out = append(out, Part(p))
			}
		}
		return true
	})
	if m := sh.fan.find("includes"); m != nil && !whole {
		m.bad = true
	}
	return out
}
