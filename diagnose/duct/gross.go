package duct

import (
	"fmt"
	"math"

	"lostair/diagnose/duct/keys"
	"lostair/readings/units"
)

// Beyond these a page is asked whether it is so. Dust ducts run at 15 to 30 m/s
// and hoses are some metres long: common practice, no source; the limits are our
// own choice, far beyond that, and touch no answer.
const (
	widestInlet = 1.2  // m
	longestHose = 20.0 // m
	fastestFan  = 90.0 // most air over the inlet's area, m/s
	fastestNeed = 50.0 // a need over its port's area, m/s
	slowestNeed = 3.0
	worstMeter  = 0.30 // 95 % limit of an instrument, as a share of the reading
)

// gross questions what can hardly be, with its numbers.
func (c *checker) gross() {
	if c.sh.Loose || c.out.Err() != nil {
		return
	}
	c.grossInlet()
	for i := range c.s.Ducts {
		d, m := &c.s.Ducts[i], &c.sh.Ducts[i]
		if k := keys.SectionNamed("ducts").Key("length"); d.Material == "flexible" && d.Length > longestHose && d.Length <= longRun {
			c.warn(m.Pos("length"), fmt.Sprintf("duct %s is %s of hose", keys.Quote(d.ID), c.show(k, d.Length)), "is that so? A bare length is in "+c.unit(k)+"; hose loses two to three times what pipe does")
		}
	}
	c.grossNeeds()
	for i := range c.s.Instruments {
		if x := &c.s.Instruments[i]; x.OfReading > worstMeter {
			c.warn(c.sh.Instruments[i].Pos("of_reading"), fmt.Sprintf("instrument %s may be off by %s of what it shows", keys.Quote(x.ID), units.Format(x.OfReading, units.Share, c.s.Units)),
				"is that so? Most gauges and vanes are good to a few per cent")
		}
	}
}

func (c *checker) grossInlet() {
	k := &c.s.Collector
	if k.Inlet > widestInlet && k.Inlet > 1.5*c.widestDuct() {
		key := keys.SectionNamed("collector").Key("inlet")
		c.warn(c.sh.Collector.Pos("inlet"), "the collector's inlet is "+c.show(key, k.Inlet)+" wide", "is that so? A bare diameter is in "+c.unit(key))
	}
	if !possible(k.Inlet) {
		return
	}
	most, pos := 0.0, c.sh.Fan.Pos("curve")
	switch {
	case len(k.Curve) > 0:
		most = k.Curve[len(k.Curve)-1].Flow
	case k.Guess != nil:
		most, pos = k.Guess.MostAir, c.sh.Fan.Pos("most_air")
	}
	if v := most / (math.Pi / 4 * k.Inlet * k.Inlet); v > fastestFan {
		key := keys.SectionNamed("collector.fan").Key("most_air")
		c.warn(pos, fmt.Sprintf("the fan's most air, %s, would be %s in an inlet of %s", c.show(key, most), units.Format(v, units.Velocity, c.s.Units),
			c.show(keys.SectionNamed("collector").Key("inlet"), k.Inlet)), "check the units of both; most collectors stay under "+about(fastestFan/2, c.s.Units))
	}
}

// widestDuct is the diameter of the widest duct, m.
func (c *checker) widestDuct() float64 {
	most := 0.0
	for i := range c.s.Ducts {
		most = max(most, c.s.Ducts[i].Diameter)
	}
	return most
}

// grossNeeds questions needs that are far from what their ports can take.
func (c *checker) grossNeeds() {
	var ports []int
	var speeds []float64
	for i := range c.s.Ports {
		if v := c.speedAtNeed(i); v > fastestNeed || v > 0 && v < slowestNeed {
			ports, speeds = append(ports, i), append(speeds, v)
		}
	}
	usual := ": dust ducts run at " + about(15, c.s.Units) + " to " + about(30, c.s.Units)
	speed := func(k int) string { return units.Format(speeds[k], units.Velocity, c.s.Units) }
	if len(ports) >= often {
		c.warn(c.sh.Ports[ports[0]].Pos("need"), fmt.Sprintf("%d ports need air that would be far too fast or too slow in their ducts: %s", len(ports),
			firstOf(len(ports), func(k int) string { return keys.Quote(c.s.Ports[ports[k]].ID) + " (" + speed(k) + ")" })),
			"check the units of needs and diameters"+usual)
		return
	}
	for k, i := range ports {
		p := &c.s.Ports[i]
		c.warn(c.sh.Ports[i].Pos("need"), fmt.Sprintf("port %s needs %s, which is %s in its duct of %s", keys.Quote(p.ID),
			c.show(keys.SectionNamed("ports").Key("need"), p.Need), speed(k), c.across(&c.s.Ducts[p.Duct])), "check the units of both"+usual)
	}
}

// speedAtNeed is the speed of the air in a port's duct at the port's need, m/s; 0 if it
// is not known or was questioned already.
func (c *checker) speedAtNeed(i int) float64 {
	p := &c.s.Ports[i]
	if p.Need <= 0 || p.Shares || p.Duct < 0 || p.Duct >= len(c.s.Ducts) {
		return 0
	}
	if n := len(c.s.Collector.Curve); n > 0 && p.Need > c.s.Collector.Curve[n-1].Flow {
		return 0
	}
	d := &c.s.Ducts[p.Duct]
	if !possible(d.Diameter) || c.sh.Ports[i].Bad("need") {
		return 0
	}
	return p.Need / (math.Pi / 4 * d.Diameter * d.Diameter)
}

// about is a velocity as people say it: in fpm to the next 500.
func about(v float64, s units.System) string {
	if s == units.US {
		v = units.Velocity.ToSI(s, 500*math.Round(units.Velocity.FromSI(s, v)/500))
	}
	return units.Format(v, units.Velocity, s)
}
