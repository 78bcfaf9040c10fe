package duct

import (
	"fmt"

	"lostair/diagnose/duct/trade"
	"lostair/readings/problem"

	"github.com/goccy/go-yaml/ast"
)

func (r *reader) duct(f *fields) (Duct, ductMarks) {
	d := Duct{
		ID:        f.text("id"),
		Straight:  true,
		Diameter:  f.number("diameter", 0),
		Length:    f.number("length", 0),
		Material:  f.text("material"),
		Roughness: f.number("roughness", 0),

		Compressed: f.number("compressed", 0),
		Lined:      f.text("lining") == "smooth",
		Abrupt:     f.text("taper") == "abrupt",
		Port:       -1,
		Pos:        f.row,
	}
	if f.good("enters") && f.text("enters") != "straight" {
		d.Straight, d.Angle = false, f.number("enters", 0)
	}
	r.shape(f, &d)
	r.wall(f)
	m := ductMarks{}
	r.gate(f, &d, &m)
	r.rows(f.node("fittings"), f.who+": fittings", func(i int, row ast.Node) bool {
		who := fmt.Sprintf("%s, fitting %d", f.who, i)
		if r.fittingWord(row, who) {
			return false
		}
		g, ok := r.read(row, "ducts.fittings", who)
		if ok {
			d.Fittings, m.fittings = append(d.Fittings, r.fitting(&g)), append(m.fittings, g.marks)
		}
		return ok
	})
	r.taps(f, &d, &m)
	m.marks = f.marks
	return d, m
}

// shape asks for a diameter, or for width and height.
func (r *reader) shape(f *fields, d *Duct) {
	w, h := f.has("width"), f.has("height")
	switch {
	case f.has("diameter") && (w || h):
		r.add(f.pos("diameter"), f.who+" has a diameter and a width or height", "leave the diameter out, or the others")
		f.find("diameter").bad = true
	case w && h:
		d.SetRectangle(f.number("width", 0), f.number("height", 0))
		f.put(mark{key: "diameter", pos: f.pos("width"), bad: true}, nil, 0) // nothing is asked of it
	case w:
		r.add(f.pos("width"), f.who+" has a width and no height", "add its height, or write its diameter")
	case h:
		r.add(f.pos("height"), f.who+" has a height and no width", "add its width, or write its diameter")
	case !f.has("diameter"):
		r.missing(f, sectionNamed("ducts").key("diameter"))
	}
}

// wall asks for one of material and roughness.
func (r *reader) wall(f *fields) {
	switch {
	case f.has("material") && f.has("roughness"):
		r.add(f.pos("roughness"), f.who+" has both material and roughness", "leave one of them out")
	case !f.has("material") && !f.has("roughness"):
		r.add(f.row, f.who+" has no material", "add material: "+problem.OrList(trade.MaterialNames())+", or roughness")
	default:
		return
	}
	f.put(mark{key: "material", pos: f.row, bad: true}, nil, 0) // nothing more to say about it
}

func (r *reader) fitting(f *fields) Fitting {
	x := Fitting{
		Elbow: f.has("elbow"),
		Angle: f.number("elbow", 0),
		Count: int(f.number("count", 1)),
		Loss:  f.number("loss", 0),
		What:  f.text("what"),
	}
	if x.Elbow {
		x.Radius = f.number("radius", 1.5)
	}
	switch {
	case x.Elbow && f.has("loss"):
		r.add(f.pos("loss"), f.who+" has both elbow and loss", "make two fittings of it")
	case !x.Elbow && !f.has("loss"):
		r.add(f.row, f.who+" has neither elbow nor loss", "write elbow: DEGREES, or loss: K on the velocity pressure")
	case !x.Elbow && f.has("radius"):
		r.add(f.pos("radius"), f.who+" has a radius and is no elbow", "leave the radius out")
	}
	return x
}

// fittingWord says what to write for a fitting that is no set of keys: a bare
// word like wye.
func (r *reader) fittingWord(row ast.Node, who string) bool {
	text, ok := plain(row)
	if !ok {
		return r.fittingKey(row, who)
	}
	w := trade.Fold(text)
	if do, known := fittingWords[w]; known {
		r.add(at(row), who+": "+quote(text)+" is not a fitting of this file", do)
		return true
	}
	if _, known := bends[w]; known {
		r.add(at(row), who+": "+quote(text)+" lacks its angle", "write {elbow: 90}, with radius: of the bend over the diameter if it isn't 1.5")
		return true
	}
	return false
}

// fittingKey says so of a set of keys that has such a word as a key.
func (r *reader) fittingKey(row ast.Node, who string) bool {
	rows, _ := entries(row)
	for _, kv := range rows {
		name, _ := plain(kv.Key)
		if do, known := fittingWords[trade.Fold(name)]; known {
			r.add(at(kv.Key), who+": "+quote(name)+" is not a fitting of this file", do)
			return true
		}
	}
	return false
}

// taps reads tap id: distance.
func (r *reader) taps(f *fields, d *Duct, m *ductMarks) {
	n := f.node("taps")
	if n == nil {
		return
	}
	rows, ok := entries(n)
	if !ok {
		r.add(at(n), f.who+": taps is not a set of tap ids", "write {id: distance from the upstream end}, for example {T1: 1.5}")
		return
	}
	k := *sectionNamed("ducts").key("taps")
	k.Name = "distance"
	for _, kv := range rows {
		t := mark{key: "distance", pos: at(kv.Key)}
		id, ok := plain(kv.Key)
		if !ok {
			r.add(t.pos, f.who+" has a tap without an id", "write {id: distance from the upstream end}, for example {T1: 1.5}")
			continue
		}
		tap := Tap{ID: id, Pos: t.pos}
		who := f.who + ", tap " + quote(id)
		if isNull(kv.Value) {
			r.add(t.pos, who+" has no distance", "write how far it is from the duct's upstream end")
			t.bad = true
		} else if t.text, ok = plain(kv.Value); !ok {
			r.add(at(kv.Value), who+": the distance is not a number", "write how far it is from the duct's upstream end")
			t.bad = true
		} else {
			t.pos = at(kv.Value)
			tap.Distance = r.amount(who, &k, &t)
		}
		d.Taps = append(d.Taps, tap)
		m.taps = append(m.taps, marks{row: tap.Pos, written: true, list: []mark{t}})
	}
}

// gate reads a gate's id, or its id and the end at which it sits.
func (r *reader) gate(f *fields, d *Duct, m *ductMarks) {
	d.Gate = f.text("gate")
	n := f.node("gate")
	if n == nil {
		return
	}
	if _, inner := entries(n); !inner {
		return
	}
	g, ok := r.read(n, "ducts.gate", "the gate of "+f.who)
	if !ok {
		return
	}
	d.Gate, d.GateDown = g.text("id"), g.text("at") == "downstream"
	m.gate = g.marks
	f.find("gate").bad = g.bad("id")
}
