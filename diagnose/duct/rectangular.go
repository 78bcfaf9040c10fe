package duct

import (
	"lostair/readings/units"
	"math"
)

// Rectangular is whether a duct has a width and a height.
func (d *Duct) Rectangular() bool { return d.Width != 0 || d.Height != 0 }

// Sides is a rectangle's width by its height, as people write it.
func Sides(width, height float64, u units.System) string {
	return units.FormatBare(width, units.Diameter, u) + " x " + units.Format(height, units.Diameter, u)
}

// Hydraulic is the hydraulic diameter, m: four times the area over the perimeter.
// Of a round duct it is the diameter.
func (d *Duct) Hydraulic() float64 {
	if !d.Rectangular() {
		return d.Diameter
	}
	return 2 * d.Width * d.Height / (d.Width + d.Height)
}

// Perimeter is the length around the inside of a duct, m.
func (d *Duct) Perimeter() float64 {
	if !d.Rectangular() {
		return math.Pi * d.Diameter
	}
	return 2 * (d.Width + d.Height)
}

// MakeRound gives a duct a round section of a diameter.
func (d *Duct) MakeRound(diameter float64) { d.Diameter, d.Width, d.Height = diameter, 0, 0 }

// SetRectangle gives a duct a rectangular section.
func (d *Duct) SetRectangle(width, height float64) {
	d.Diameter, d.Width, d.Height = math.Sqrt(4/math.Pi*width*height), width, height
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

// size holds a duct's size to what is possible.
func (c *checker) size(d *Duct, m *ductMarks, who string) {
	if !d.Rectangular() {
		c.within(&m.marks, "ducts", "diameter", who, d.Diameter)
		if m.find("diameter") == nil && !m.written {
			c.held(&m.marks, sectionNamed("ducts").key("diameter"), who, d.Diameter)
		}
		return
	}
	c.within(&m.marks, "ducts", "width", who, d.Width)
	c.within(&m.marks, "ducts", "height", who, d.Height)
	c.flat(d, m, who)
}

// flattest is how many times its height a duct may be wide, or the other way round,
// before the hydraulic diameter is a rough guide only. (Our own choice.)
const flattest = 8

func (c *checker) flat(d *Duct, m *ductMarks, who string) {
	if c.sh.loose || !possible(d.Width) || !possible(d.Height) || max(d.Width, d.Height) <= flattest*min(d.Width, d.Height) {
		return
	}
	k := sectionNamed("ducts").key("width")
	c.warn(m.pos("width"), who+" is "+c.show(k, d.Width)+" by "+c.show(k, d.Height)+", so flat that its friction is a rough guess",
		"check both; a duct of wood dust is nearly square")
}
