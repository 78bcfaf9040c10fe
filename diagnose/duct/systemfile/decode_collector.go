package systemfile

import (
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/keys"
)

func (r *reader) collector(n ast.Node, sh *keys.Sheet) (c duct.Collector) {
	f, ok := r.read(n, "collector", "the collector")
	if !ok {
		return c
	}
	sh.Collector = f.Marks
	c.Pos = f.Row
	c.Inlet = f.number("inlet", 0)
	c.Bin = f.number("bin", 0) != 0
	r.fan(f.node("fan"), &c, sh)
	c.Cyclone = r.drop(f.node("cyclone"), "cyclone", &c, &sh.Drops[0])
	c.Filter = r.drop(f.node("filter"), "filter", &c, &sh.Drops[1])
	c.Order = r.order(f.node("order"), sh)
	return c
}

// drop reads the loss of a part; true stands for one that nobody knows, false for none.
func (r *reader) drop(n ast.Node, what string, c *duct.Collector, m *keys.Marks) *duct.Drop {
	if n == nil {
		return nil
	}
	if text, ok := plain(n); ok {
		if yes, ok := yesNo(text); yes {
			*m = keys.Marks{Row: At(n), Written: true}
			return duct.GuessedDrop(what, c.Inlet)
		} else if ok {
			return nil
		}
		s := keys.SectionNamed("collector." + what)
		r.add(At(n), "the "+what+" is not a set of keys", "write "+strings.Join(s.Names(), ", ")+", each as key: value, or true if you don't know its loss")
		return nil
	}
	f, ok := r.read(n, "collector."+what, "the "+what)
	if !ok {
		return nil
	}
	*m = f.Marks
	return &duct.Drop{Pressure: f.number("drop", 0), At: f.number("at", 0)}
}

// curve reads [flow, pressure] pairs. A pair that can't be read has been
// reported, and stands in the list with its bad marks.
func (r *reader) curve(n ast.Node, sh *keys.Sheet) (out []duct.CurvePoint) {
	s := keys.SectionNamed("collector.fan.curve")
	if seq, ok := n.(*ast.SequenceNode); ok && len(seq.Values) > maxPoints {
		r.add(At(n), fmt.Sprintf("the fan curve has %d points", len(seq.Values)), fmt.Sprintf("give %d at most", maxPoints))
		return nil
	}
	r.rows(n, "the fan curve", func(i int, row ast.Node) bool {
		m := keys.Marks{Row: At(row), Written: true}
		seq, ok := row.(*ast.SequenceNode)
		if !ok || len(seq.Values) != len(s.Keys) {
			r.add(m.Row, fmt.Sprintf("point %d of the fan curve is not a pair", i), "write [flow, pressure], for example [800, 2850]; decimals with a point")
			m.List = []keys.Mark{{Key: "flow", Pos: m.Row, Bad: true}, {Key: "pressure", Pos: m.Row, Bad: true}}
			out, sh.Curve = append(out, duct.CurvePoint{}), append(sh.Curve, m)
			return true
		}
		var v [2]float64
		for j, n := range seq.Values {
			k := keys.Mark{Key: s.Keys[j].Name, Pos: At(n)}
			if k.Text, ok = plain(n); !ok {
				r.add(k.Pos, fmt.Sprintf("point %d of the fan curve: %s is not a number", i, k.Key), "write [flow, pressure], for example [800, 2850]")
				k.Bad = true
			} else {
				v[j] = r.value(fmt.Sprintf("point %d of the fan curve", i), &s.Keys[j], &k)
			}
			m.List = append(m.List, k)
		}
		out, sh.Curve = append(out, duct.CurvePoint{Flow: v[0], Pressure: v[1]}), append(sh.Curve, m)
		return true
	})
	return out
}

// order reads the parts in order of flow, as they are written; a name that is
// no part is reported and left out.
func (r *reader) order(n ast.Node, sh *keys.Sheet) (out []duct.Part) {
	whole := r.rows(n, "order", func(_ int, row ast.Node) bool {
		name, ok := plain(row)
		for p := range keys.PartNames {
			if ok && keys.PartNames[p] == name {
				out, sh.Order = append(out, duct.Part(p)), append(sh.Order, keys.Mark{Key: name, Pos: At(row)})
				return true
			}
		}
		r.add(At(row), "order: "+keys.Quote(name)+" is no part of the collector", keys.Suggest(keys.PartNames[:], name))
		return false
	})
	if m := sh.Collector.Find("order"); m != nil && !whole {
		m.Bad = true
	}
	return out
}

// fan reads the fan by any of the ways in which it can be described.
func (r *reader) fan(n ast.Node, c *duct.Collector, sh *keys.Sheet) {
	if n == nil {
		return
	}
	if _, text := plain(n); text {
		r.add(At(n), "the fan is not a set of keys", "write {curve: ...}, {most_air: ..., most_suction: ...} or {motor: ..., wheel: ...}; or leave the fan out: then the readings tell its curve")
		return
	}
	f, ok := r.read(n, "collector.fan", "the fan")
	if !ok {
		return
	}
	sh.Fan = f.Marks
	c.Density = f.number("density", 0)
	c.Rated = f.number("speed", 0)
	c.Curve = r.curve(f.node("curve"), sh)
	c.Whole = r.included(f.node("includes"), sh)
	g := duct.FanGuess{
		MostAir: f.number("most_air", 0), MostSuction: f.number("most_suction", 0),
		Motor: f.number("motor", 0), Wheel: f.number("wheel", 0),
	}
	if f.has("most_air") || f.has("most_suction") || f.has("motor") || f.has("wheel") {
		c.Guess = &g
	}
}

// included reads the parts that the curve has in it.
func (r *reader) included(n ast.Node, sh *keys.Sheet) (out []duct.Part) {
	names := keys.SectionNamed("collector.fan").Key("includes").Choices
	whole := r.rows(n, "includes", func(_ int, row ast.Node) bool {
		name, _ := plain(row)
		if !slices.Contains(names, name) {
			r.add(At(row), "includes: "+keys.Quote(name)+" is no part that a fan's curve can include", keys.Suggest(names, name))
			return false
		}
		for p := range keys.PartNames {
			if keys.PartNames[p] == name && !slices.Contains(out, duct.Part(p)) {
				out = append(out, duct.Part(p))
			}
		}
		return true
	})
	if m := sh.Fan.Find("includes"); m != nil && !whole {
		m.Bad = true
	}
	return out
}
