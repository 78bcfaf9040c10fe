package duct

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"lostair/readings/units"
)

// bySides is a rectangle as people write it: 4x2, 3 1/2 x 4, 100 mm x 50 mm.
var bySides = regexp.MustCompile(`^\s*` + oneSide + `\s*[x×X*]\s*` + oneSide + `\s*$`)

// oneSide is one of them: 4, 3.5, 3 1/2, 100 mm.
const oneSide = `([0-9.]+(?:[ -][0-9]+/[0-9]+)?\s*(?:mm|cm|in)?)"?`

// Opening is the inside of a machine's own port: round, with a Diameter, or
// rectangular, with Width and Height.
type Opening struct {
	Diameter, Width, Height float64 // m
}

// Area is its inside area, m².
func (o *Opening) Area() float64 {
	if o.Diameter > 0 {
		return math.Pi / 4 * o.Diameter * o.Diameter
	}
	return o.Width * o.Height
}

// sides says how to write a rectangle where a diameter stands; false: it is none.
func sides(text string, k *Key) (do string, ok bool) {
	m := bySides.FindStringSubmatch(text)
	if m == nil || k.Dim != units.Diameter {
		return "", false
	}
	m[1], m[2] = strings.TrimSpace(m[1]), strings.TrimSpace(m[2])
	switch {
	case k.Section != "":
		return fmt.Sprintf("of a rectangle write %s: {width: %s, height: %s}", k.Name, m[1], m[2]), true
	}
	return fmt.Sprintf("of a rectangle write width: %s and height: %s in place of it", m[1], m[2]), true
}

// sameArea says what to write of an opening whose area is known.
func (r *reader) sameArea(n ast.Node) string {
	text, _ := plain(n)
	if v, err := units.Parse(text, units.Area, r.units); err == nil && v.SI > 0 {
		return "write the diameter of a circle as large: opening: " + units.Format(math.Sqrt(4/math.Pi*v.SI), units.Diameter, r.units)
	}
	return "write width and height, or the diameter of a circle as large: opening: DIAMETER"
}

// opening reads the machine's own port: a diameter, or width and height.
func (r *reader) opening(f *fields, m *portMarks) *Opening {
	n := f.node("opening")
	if n == nil {
		return nil
	}
	rows, inner := entries(n)
	if !inner {
		return &Opening{Diameter: f.number("opening", 0)}
	}
	for _, kv := range rows {
		if key, _ := plain(kv.Key); wordOf(key) == "area" {
			r.add(at(kv.Key), "the opening of "+f.who+" is given by its area", r.sameArea(kv.Value))
			return nil
		}
	}
	g, ok := r.read(n, "ports.opening", "the opening of "+f.who)
	if !ok {
		return nil
	}
	m.opening = g.marks
	if g.bad("width") || g.bad("height") {
		f.find("opening").bad = true
	}
	return &Opening{Width: g.number("width", 0), Height: g.number("height", 0)}
}

func (c *checker) opening(o *Opening, m *portMarks, who string) {
	switch {
	case o == nil:
	case m.opening.written || o.Width != 0 || o.Height != 0:
		c.within(&m.opening, "ports.opening", "width", "the opening of "+who, o.Width)
		c.within(&m.opening, "ports.opening", "height", "the opening of "+who, o.Height)
	default:
		c.within(&m.marks, "ports", "opening", who, o.Diameter)
	}
}
