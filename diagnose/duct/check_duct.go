package duct

import (
	"fmt"
	"math"

	"lostair/diagnose/duct/keys"
	"lostair/diagnose/duct/trade"
	"lostair/readings/units"
)

func (c *checker) duct(i int) {
	d, m := &c.s.Ducts[i], &c.sh.Ducts[i]
	who := "duct " + keys.Quote(d.ID)
	if !d.Straight {
		c.held(&m.Marks, keys.SectionNamed("ducts").Key("enters"), who, d.Angle)
	}
	before := len(c.out)
	c.size(d, m, who)
	if len(c.out) == before {
		c.slipOfDiameter(d, m, who)
	}
	before = len(c.out)
	c.within(&m.Marks, "ducts", "length", who, d.Length)
	if len(c.out) == before && d.Length > longRun && !c.sh.Loose {
		c.warn(m.Pos("length"), fmt.Sprintf("%s is %s long", who, c.show(keys.SectionNamed("ducts").Key("length"), d.Length)),
			"is that so? A bare length is in "+c.unit(keys.SectionNamed("ducts").Key("length")))
	}
	c.within(&m.Marks, "ducts", "roughness", who, d.Roughness)
	c.compressed(d, m, who)
	c.lining(d, m, who)
	if !m.Written {
		c.wall(d, who)
	}
	for j := range d.Fittings {
		c.fitting(&d.Fittings[j], &m.Fittings[j], fmt.Sprintf("%s, fitting %d", who, j+1))
	}
	for j := range d.Taps {
		c.tap(d, m, j, who)
	}
}

// longRun is longer than any one run in a shop: a length written in mm or cm
// comes out above it. (Our own choice.)
const longRun = 300

// size holds a duct's size to what is possible.
func (c *checker) size(d *Duct, m *keys.DuctMarks, who string) {
	if !d.Rectangular() {
		c.within(&m.Marks, "ducts", "diameter", who, d.Diameter)
		if m.Find("diameter") == nil && !m.Written {
			c.held(&m.Marks, keys.SectionNamed("ducts").Key("diameter"), who, d.Diameter)
		}
		return
	}
	c.within(&m.Marks, "ducts", "width", who, d.Width)
	c.within(&m.Marks, "ducts", "height", who, d.Height)
	c.flat(d, m, who)
}

// slipOfDiameter warns of a bare diameter that would be likelier in the other
// unit system. (The limits are our own choice: no dust duct is 16 mm wide,
// and few are 40 in.)
func (c *checker) slipOfDiameter(d *Duct, m *keys.DuctMarks, who string) {
	w := m.Find("diameter")
	if w == nil || !w.Bare || w.Bad || c.sh.Loose {
		return
	}
	switch {
	case c.s.Units == units.Metric && d.Diameter <= 0.016:
		c.warn(w.Pos, fmt.Sprintf("%s: diameter %s is read as mm", who, w.Text), "if inches are meant, write "+w.Text+" in")
	case c.s.Units == units.US && d.Diameter >= 40*0.0254:
		c.warn(w.Pos, fmt.Sprintf("%s: diameter %s is read as in", who, w.Text), "if millimetres are meant, write "+w.Text+" mm")
	}
}

// flattest is how many times its height a duct may be wide, or the other way round,
// before the hydraulic diameter is a rough guide only. (Our own choice.)
const flattest = 8

func (c *checker) flat(d *Duct, m *keys.DuctMarks, who string) {
	if c.sh.Loose || !possible(d.Width) || !possible(d.Height) || max(d.Width, d.Height) <= flattest*min(d.Width, d.Height) {
		return
	}
	k := keys.SectionNamed("ducts").Key("width")
	c.warn(m.Pos("width"), who+" is "+c.show(k, d.Width)+" by "+c.show(k, d.Height)+", so flat that its friction is a rough guess",
		"check both; a duct of wood dust is nearly square")
}

// compressed holds how far a hose is compressed to what is possible, and to a hose.
func (c *checker) compressed(d *Duct, m *keys.DuctMarks, who string) {
	if d.Compressed != 0 && d.Material != "flexible" {
		c.add(m.Pos("compressed"), who+" is compressed and no hose", "leave it out, or write material: flexible")
		return
	}
	c.share(&m.Marks, "ducts", "compressed", who, d.Compressed)
}

// lining holds a lining to a hose.
func (c *checker) lining(d *Duct, m *keys.DuctMarks, who string) {
	if d.Lined && d.Material != "flexible" {
		c.add(m.Pos("lining"), who+" has a lining and is no hose", "leave it out, or write material: flexible")
	}
}

// wall is for a System built in Go; the reader asks a file for the same.
func (c *checker) wall(d *Duct, who string) {
	_, known := trade.MaterialNamed(d.Material)
	switch {
	case d.Material == "" && d.Roughness == 0:
		c.add(d.Pos, who+" has no material", "give it a material or a roughness")
	case d.Material != "" && d.Roughness != 0:
		c.add(d.Pos, who+" has both material and roughness", "leave one of them out")
	case d.Material != "" && !known:
		c.add(d.Pos, who+": material "+keys.Quote(d.Material)+" is not known", keys.Suggest(trade.MaterialNames(), d.Material))
	}
}

func (c *checker) fitting(x *Fitting, m *keys.Marks, who string) {
	s := keys.SectionNamed("ducts.fittings")
	if x.Elbow {
		c.held(m, s.Key("elbow"), who, x.Angle)
		c.held(m, s.Key("radius"), who, x.Radius)
	} else {
		c.held(m, s.Key("loss"), who, x.Loss)
	}
	c.held(m, s.Key("count"), who, float64(x.Count))
}

func (c *checker) tap(d *Duct, m *keys.DuctMarks, j int, who string) {
	t, w := &d.Taps[j], &m.Taps[j]
	long := keys.SectionNamed("ducts").Key("length")
	if w.Bad("distance") || m.Bad("length") || c.sh.Loose || !(d.Length >= long.Min && d.Length <= long.Max) {
		return
	}
	k := keys.SectionNamed("ducts").Key("taps")
	who += ", tap " + keys.Quote(t.ID)
	const slack = 1 + 1e-9 // a tap at the very end, in another unit
	switch {
	case !(t.Distance >= 0) || math.IsInf(t.Distance, 0):
		c.add(w.Pos("distance"), who+": distance "+c.show(k, t.Distance)+" is not possible", "measure it from the duct's upstream end")
	case t.Distance > d.Length*slack:
		c.add(w.Pos("distance"), fmt.Sprintf("%s lies at %s, beyond its duct's length of %s", who, c.show(k, t.Distance), c.show(k, d.Length)),
			"measure it from the duct's upstream end, or list it with the duct it is in")
	}
}
