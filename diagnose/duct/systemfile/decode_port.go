package systemfile

import (
	"math"

	"github.com/goccy/go-yaml/ast"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/keys"
	"lostair/diagnose/duct/trade"
	"lostair/readings/units"
)

func (r *reader) port(f *fields) (duct.Port, keys.PortMarks) {
	p := duct.Port{ID: f.text("id"), Need: f.number("need", 0), Machine: f.text("machine"), Pos: f.Row}
	m := keys.PortMarks{}
	p.Opening = r.opening(f, &m)
	m.Marks = f.Marks
	h := f.text("hood")
	if _, ok := trade.HoodNamed(h); ok {
		p.Hood = h
	} else {
		p.Loss = f.number("hood", 0)
	}
	p.Taper = f.number("angle", 0)
	return p, m
}

// opening reads the machine's own port: a diameter, or width and height.
func (r *reader) opening(f *fields, m *keys.PortMarks) *duct.Opening {
	n := f.node("opening")
	if n == nil {
		return nil
	}
	rows, inner := entries(n)
	if !inner {
		return &duct.Opening{Diameter: f.number("opening", 0)}
	}
	for _, kv := range rows {
		if key, _ := plain(kv.Key); trade.Fold(key) == "area" {
			r.add(At(kv.Key), "the opening of "+f.who+" is given by its area", r.sameArea(kv.Value))
			return nil
		}
	}
	g, ok := r.read(n, "ports.opening", "the opening of "+f.who)
	if !ok {
		return nil
	}
	m.Opening = g.Marks
	if g.Bad("width") || g.Bad("height") {
		f.Find("opening").Bad = true
	}
	return &duct.Opening{Width: g.number("width", 0), Height: g.number("height", 0)}
}

// sameArea says what to write of an opening whose area is known.
func (r *reader) sameArea(n ast.Node) string {
	text, _ := plain(n)
	if v, err := units.Parse(text, units.Area, r.units); err == nil && v.SI > 0 {
		return "write the diameter of a circle as large: opening: " + units.Format(math.Sqrt(4/math.Pi*v.SI), units.Diameter, r.units)
	}
	return "write width and height, or the diameter of a circle as large: opening: DIAMETER"
}
