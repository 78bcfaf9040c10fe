package duct

import (
	"fmt"
	"math"
	"strconv"

	"lostair/readings/problem"
	"lostair/readings/units"
)

// checker holds a System against what can be. It works on SI values and takes
// places and wording from the sheet, so that a System read from a file and
// one built in Go meet the same checks.
type checker struct {
	s   *System
	sh  *sheet
	out problem.List
}

func (c *checker) add(at Pos, what, do string) {
	c.out = append(c.out, problem.Problem{File: c.s.File, Line: at.Line, Column: at.Column, What: what, Do: do})
}

func (c *checker) warn(at Pos, what, do string) {
	c.add(at, what, do)
	c.out[len(c.out)-1].Warning = true
}

// sizes checks each value by itself.
func (c *checker) sizes() {
	s := c.s
	if !s.Air.Standard {
		c.sizesOfAir()
	}
	c.within(&c.sh.collector, "collector", "inlet", "the collector", s.Collector.Inlet)
	c.within(&c.sh.fan, "collector.fan", "density", "the fan", s.Collector.Density)
	c.within(&c.sh.fan, "collector.fan", "speed", "the fan", s.Collector.Rated)
	c.curve()
	c.guess()
	c.drop(s.Collector.Cyclone, "cyclone", &c.sh.drops[0])
	c.drop(s.Collector.Filter, "filter", &c.sh.drops[1])
	for i := range s.Ducts {
		c.duct(i)
	}
	for i := range s.Ports {
		c.port(i)
	}
	for i := range s.Instruments {
		c.instrument(i)
	}
	c.machines()
	if s.Room.Inlets != 0 || c.sh.room.find("inlets") != nil {
		c.within(&c.sh.room, "room", "inlets", "the room", s.Room.Inlets)
	}
	l, u := &s.Limits, &s.Uncertainty
	c.within(&c.sh.convey, "limits.conveying_velocity", "branch", "the conveying velocity", l.ConveyBranch)
	c.within(&c.sh.convey, "limits.conveying_velocity", "main", "the conveying velocity", l.ConveyMain)
	c.share(&c.sh.uncertainty, "uncertainty", "losses", "uncertainty", u.Losses)
	c.share(&c.sh.uncertainty, "uncertainty", "fan", "uncertainty", u.Fan)
	c.share(&c.sh.uncertainty, "uncertainty", "filter", "uncertainty", u.Filter)
}

func (c *checker) sizesOfAir() {
	a, m := &c.s.Air, &c.sh.air
	c.within(m, "air", "temperature", "air", a.Temperature)
	c.within(m, "air", "altitude", "air", a.Altitude)
	c.within(m, "air", "pressure", "air", a.Barometer)
	c.share(m, "air", "humidity", "air", a.Humidity)
}

// within reports a value outside the limits of its key. A key that was left
// out, or that was reported before, is passed over.
func (c *checker) within(m *marks, section, key, who string, v float64) {
	k := sectionNamed(section).key(key)
	if m.find(key) == nil && (m.written || v == 0 && !k.Needed) {
		return
	}
	c.held(m, k, who, v)
}

// held is within for a value that is never left out: 0 is 0.
func (c *checker) held(m *marks, k *Key, who string, v float64) {
	if c.sh.loose || m.bad(k.Name) {
		return
	}
	if v >= k.Min && v <= k.Max || k.Min == k.Max {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			return
		}
	}
	c.outside(m, k, who, v)
}

func (c *checker) outside(m *marks, k *Key, who string, v float64) {
	text := c.show(k, v)
	if w := m.find(k.Name); w != nil {
		text = quote(w.text)
	}
	c.add(m.pos(k.Name), fmt.Sprintf("%s: %s %s is not possible", who, k.Name, text),
		fmt.Sprintf("it lies between %s and %s%s", c.show(k, k.Min), c.show(k, k.Max), c.bare(k)))
}

// share is within for percentages, where 0.15 for 15 % is a likely slip.
func (c *checker) share(m *marks, section, key, who string, v float64) {
	c.within(m, section, key, who, v)
	w := m.find(key)
	switch {
	case w == nil || !w.bare || w.bad || v <= 0 || v > 0.01:
	case v == 0.01:
		c.warn(w.pos, fmt.Sprintf("%s: %s %s is read as 1 %%", who, key, w.text), "write 1% if that is meant, and 100% if all of it is")
	default:
		c.warn(w.pos, fmt.Sprintf("%s: %s %s is read as %s %%", who, key, w.text, brief(100*v)),
			fmt.Sprintf("if %s %% is meant, write %s%%", brief(1e4*v), brief(1e4*v)))
	}
}

// brief writes six significant digits at most, without an exponent.
func brief(v float64) string {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
	return decimal(v)
}

func (c *checker) drop(d *Drop, name string, m *marks) {
	if d == nil {
		return
	}
	c.within(m, "collector."+name, "drop", "the "+name, d.Pressure)
	c.within(m, "collector."+name, "at", "the "+name, d.At)
}

func (c *checker) duct(i int) {
	d, m := &c.s.Ducts[i], &c.sh.ducts[i]
	who := "duct " + quote(d.ID)
	if !d.Straight {
		c.held(&m.marks, sectionNamed("ducts").key("enters"), who, d.Angle)
	}
	before := len(c.out)
	c.size(d, m, who)
	if len(c.out) == before {
		c.slipOfDiameter(d, m, who)
	}
	before = len(c.out)
	c.within(&m.marks, "ducts", "length", who, d.Length)
	if len(c.out) == before && d.Length > longRun && !c.sh.loose {
		c.warn(m.pos("length"), fmt.Sprintf("%s is %s long", who, c.show(sectionNamed("ducts").key("length"), d.Length)),
			"is that so? A bare length is in "+c.unit(sectionNamed("ducts").key("length")))
	}
	c.within(&m.marks, "ducts", "roughness", who, d.Roughness)
	c.compressed(d, m, who)
	c.lining(d, m, who)
	if !m.written {
		c.wall(d, who)
	}
	for j := range d.Fittings {
		c.fitting(&d.Fittings[j], &m.fittings[j], fmt.Sprintf("%s, fitting %d", who, j+1))
	}
	for j := range d.Taps {
		c.tap(d, m, j, who)
	}
}

// longRun is longer than any one run in a shop: a length written in mm or cm
// comes out above it. (Our own choice.)
const longRun = 300

// slipOfDiameter warns of a bare diameter that would be likelier in the other
// unit system. (The limits are our own choice: no dust duct is 16 mm wide,
// and few are 40 in.)
func (c *checker) slipOfDiameter(d *Duct, m *ductMarks, who string) {
	w := m.find("diameter")
	if w == nil || !w.bare || w.bad || c.sh.loose {
		return
	}
	switch {
	case c.s.Units == units.Metric && d.Diameter <= 0.016:
		c.warn(w.pos, fmt.Sprintf("%s: diameter %s is read as mm", who, w.text), "if inches are meant, write "+w.text+" in")
	case c.s.Units == units.US && d.Diameter >= 40*0.0254:
		c.warn(w.pos, fmt.Sprintf("%s: diameter %s is read as in", who, w.text), "if millimetres are meant, write "+w.text+" mm")
	}
}

// wall is for a System built in Go; the reader asks a file for the same.
func (c *checker) wall(d *Duct, who string) {
	_, known := MaterialNamed(d.Material)
	switch {
	case d.Material == "" && d.Roughness == 0:
		c.add(d.Pos, who+" has no material", "give it a material or a roughness")
	case d.Material != "" && d.Roughness != 0:
		c.add(d.Pos, who+" has both material and roughness", "leave one of them out")
	case d.Material != "" && !known:
		c.add(d.Pos, who+": material "+quote(d.Material)+" is not known", choose(materialNames(), d.Material))
	}
}

func (c *checker) fitting(x *Fitting, m *marks, who string) {
	s := sectionNamed("ducts.fittings")
	if x.Elbow {
		c.held(m, s.key("elbow"), who, x.Angle)
		c.held(m, s.key("radius"), who, x.Radius)
	} else {
		c.held(m, s.key("loss"), who, x.Loss)
	}
	c.held(m, s.key("count"), who, float64(x.Count))
}

func (c *checker) tap(d *Duct, m *ductMarks, j int, who string) {
	t, w := &d.Taps[j], &m.taps[j]
	long := sectionNamed("ducts").key("length")
	if w.bad("distance") || m.bad("length") || c.sh.loose || !(d.Length >= long.Min && d.Length <= long.Max) {
		return
	}
	k := sectionNamed("ducts").key("taps")
	who += ", tap " + quote(t.ID)
	const slack = 1 + 1e-9 // a tap at the very end, in another unit
	switch {
	case !(t.Distance >= 0) || math.IsInf(t.Distance, 0):
		c.add(w.pos("distance"), who+": distance "+c.show(k, t.Distance)+" is not possible", "measure it from the duct's upstream end")
	case t.Distance > d.Length*slack:
		c.add(w.pos("distance"), fmt.Sprintf("%s lies at %s, beyond its duct's length of %s", who, c.show(k, t.Distance), c.show(k, d.Length)),
			"measure it from the duct's upstream end, or list it with the duct it is in")
	}
}

func (c *checker) port(i int) {
	p, m := &c.s.Ports[i], &c.sh.ports[i]
	who := "port " + quote(p.ID)
	if p.Hood == "" {
		c.within(&m.marks, "ports", "hood", who, p.Loss)
	} else if _, ok := HoodNamed(p.Hood); !ok {
		c.add(m.pos("hood"), who+": hood "+quote(p.Hood)+" is not known", choose(hoodNames(), p.Hood))
	}
	c.taper(p, m, who)
	c.opening(p.Opening, m, who)
	before := len(c.out)
	c.within(&m.marks, "ports", "need", who, p.Need)
	if n := len(c.s.Collector.Curve); len(c.out) == before && n > 0 && !c.sh.loose {
		if most := c.s.Collector.Curve[n-1].Flow; most > 0 && p.Need > most {
			k := sectionNamed("ports").key("need")
			c.warn(m.pos("need"), fmt.Sprintf("%s needs %s, and the fan curve ends at %s", who, c.show(k, p.Need), c.show(k, most)), "check the unit of both")
		}
	}
}

func (c *checker) instrument(i int) {
	x, m := &c.s.Instruments[i], &c.sh.instruments[i]
	who := "instrument " + quote(x.ID)
	k := *sectionNamed("instruments").key("floor")
	k.Dim = x.Measures
	before := len(c.out)
	c.share(m, "instruments", "of_reading", who, x.OfReading)
	if w := m.find("floor"); !c.sh.loose && (w == nil || !w.bad) && !(x.Floor >= k.Min && x.Floor <= k.Max) {
		c.outside(m, &k, who, x.Floor)
	}
	if m.find("size") != nil {
		c.within(m, "instruments", "size", who, x.Size)
	}
	if x.Size > 0 && x.Measures != units.Velocity && !m.bad("measures") {
		c.add(m.pos("size"), who+" has a size and measures "+x.Measures.String(), "leave it out: the size is that of a vane, which measures velocity")
	}
	if len(c.out) == before && x.OfReading == 0 && x.Floor == 0 && !m.bad("of_reading") && !m.bad("floor") && !m.bad("measures") {
		c.add(m.row, who+" would be free of error", "give of_reading, floor or both: the maker's limits, or what repeats show")
	}
}
