package systemfile

import (
	"fmt"

	"github.com/goccy/go-yaml/ast"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/keys"
	"lostair/diagnose/duct/trade"
	"lostair/readings/problem"
)

func (r *reader) duct(f *fields) (duct.Duct, keys.DuctMarks) {
	d := duct.Duct{
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
		Pos:        f.Row,
	}
	if f.good("enters") && f.text("enters") != "straight" {
		d.Straight, d.Angle = false, f.number("enters", 0)
	}
	r.shape(f, &d)
	r.wall(f)
	m := keys.DuctMarks{}
	r.gate(f, &d, &m)
	r.rows(f.node("fittings"), f.who+": fittings", func(i int, row ast.Node) bool {
		who := fmt.Sprintf("%s, fitting %d", f.who, i)
		if r.fittingWord(row, who) {
			return false
		}
		g, ok := r.read(row, "ducts.fittings", who)
		if ok {
			d.Fittings, m.Fittings = append(d.Fittings, r.fitting(&g)), append(m.Fittings, g.Marks)
		}
		return ok
	})
	r.taps(f, &d, &m)
	m.Marks = f.Marks
	return d, m
}

// shape asks for a diameter, or for width and height.
func (r *reader) shape(f *fields, d *duct.Duct) {
	w, h := f.has("width"), f.has("height")
	switch {
	case f.has("diameter") && (w || h):
		r.add(f.Pos("diameter"), f.who+" has a diameter and a width or height", "leave the diameter out, or the others")
		f.Find("diameter").Bad = true
	case w && h:
		d.SetRectangle(f.number("width", 0), f.number("height", 0))
		f.put(keys.Mark{Key: "diameter", Pos: f.Pos("width"), Bad: true}, nil, 0) // nothing is asked of it
	case w:
		r.add(f.Pos("width"), f.who+" has a width and no height", "add its height, or write its diameter")
	case h:
		r.add(f.Pos("height"), f.who+" has a height and no width", "add its width, or write its diameter")
	case !f.has("diameter"):
		r.missing(f, keys.SectionNamed("ducts").Key("diameter"))
	}
}

// wall asks for one of material and roughness.
func (r *reader) wall(f *fields) {
	switch {
	case f.has("material") && f.has("roughness"):
		r.add(f.Pos("roughness"), f.who+" has both material and roughness", "leave one of them out")
	case !f.has("material") && !f.has("roughness"):
		r.add(f.Row, f.who+" has no material", "add material: "+problem.OrList(trade.MaterialNames())+", or roughness")
	default:
		return
	}
	f.put(keys.Mark{Key: "material", Pos: f.Row, Bad: true}, nil, 0) // nothing more to say about it
}

func (r *reader) fitting(f *fields) duct.Fitting {
	x := duct.Fitting{
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
		r.add(f.Pos("loss"), f.who+" has both elbow and loss", "make two fittings of it")
	case !x.Elbow && !f.has("loss"):
		r.add(f.Row, f.who+" has neither elbow nor loss", "write elbow: DEGREES, or loss: K on the velocity pressure")
	case !x.Elbow && f.has("radius"):
		r.add(f.Pos("radius"), f.who+" has a radius and is no elbow", "leave the radius out")
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
		r.add(At(row), who+": "+keys.Quote(text)+" is not a fitting of this file", do)
		return true
	}
	if _, known := bends[w]; known {
		r.add(At(row), who+": "+keys.Quote(text)+" lacks its angle", "write {elbow: 90}, with radius: of the bend over the diameter if it isn't 1.5")
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
			r.add(At(kv.Key), who+": "+keys.Quote(name)+" is not a fitting of this file", do)
			return true
		}
	}
	return false
}

// taps reads tap id: distance.
func (r *reader) taps(f *fields, d *duct.Duct, m *keys.DuctMarks) {
	n := f.node("taps")
	if n == nil {
		return
	}
	rows, ok := entries(n)
	if !ok {
		r.add(At(n), f.who+": taps is not a set of tap ids", "write {id: distance from the upstream end}, for example {T1: 1.5}")
		return
	}
	k := *keys.SectionNamed("ducts").Key("taps")
	k.Name = "distance"
	for _, kv := range rows {
		t := keys.Mark{Key: "distance", Pos: At(kv.Key)}
		id, ok := plain(kv.Key)
		if !ok {
			r.add(t.Pos, f.who+" has a tap without an id", "write {id: distance from the upstream end}, for example {T1: 1.5}")
			continue
		}
		tap := duct.Tap{ID: id, Pos: t.Pos}
		who := f.who + ", tap " + keys.Quote(id)
		if isNull(kv.Value) {
			r.add(t.Pos, who+" has no distance", "write how far it is from the duct's upstream end")
			t.Bad = true
		} else if t.Text, ok = plain(kv.Value); !ok {
			r.add(At(kv.Value), who+": the distance is not a number", "write how far it is from the duct's upstream end")
			t.Bad = true
		} else {
			t.Pos = At(kv.Value)
			tap.Distance = r.amount(who, &k, &t)
		}
		d.Taps = append(d.Taps, tap)
		m.Taps = append(m.Taps, keys.Marks{Row: tap.Pos, Written: true, List: []keys.Mark{t}})
	}
}

// gate reads a gate's id, or its id and the end at which it sits.
func (r *reader) gate(f *fields, d *duct.Duct, m *keys.DuctMarks) {
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
	m.Gate = g.Marks
	f.Find("gate").Bad = g.Bad("id")
}
