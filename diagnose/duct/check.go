package duct

import (
	"lostair/diagnose/duct/keys"
	"lostair/readings/units"
)

// sizes checks each value by itself.
func (c *checker) sizes() {
	s := c.s
	if !s.Air.Standard {
		c.sizesOfAir()
	}
	c.within(&c.sh.Collector, "collector", "inlet", "the collector", s.Collector.Inlet)
	c.within(&c.sh.Fan, "collector.fan", "density", "the fan", s.Collector.Density)
	c.within(&c.sh.Fan, "collector.fan", "speed", "the fan", s.Collector.Rated)
	c.curve()
	c.guess()
	c.drop(s.Collector.Cyclone, "cyclone", &c.sh.Drops[0])
	c.drop(s.Collector.Filter, "filter", &c.sh.Drops[1])
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
	if s.Room.Inlets != 0 || c.sh.Room.Find("inlets") != nil {
		c.within(&c.sh.Room, "room", "inlets", "the room", s.Room.Inlets)
	}
	l, u := &s.Limits, &s.Uncertainty
	c.within(&c.sh.Convey, "limits.conveying_velocity", "branch", "the conveying velocity", l.ConveyBranch)
	c.within(&c.sh.Convey, "limits.conveying_velocity", "main", "the conveying velocity", l.ConveyMain)
	c.share(&c.sh.Uncertainty, "uncertainty", "losses", "uncertainty", u.Losses)
	c.share(&c.sh.Uncertainty, "uncertainty", "fan", "uncertainty", u.Fan)
	c.share(&c.sh.Uncertainty, "uncertainty", "filter", "uncertainty", u.Filter)
}

func (c *checker) sizesOfAir() {
	a, m := &c.s.Air, &c.sh.Air
	c.within(m, "air", "temperature", "air", a.Temperature)
	c.within(m, "air", "altitude", "air", a.Altitude)
	c.within(m, "air", "pressure", "air", a.Barometer)
	c.share(m, "air", "humidity", "air", a.Humidity)
}

func (c *checker) instrument(i int) {
	x, m := &c.s.Instruments[i], &c.sh.Instruments[i]
	who := "instrument " + keys.Quote(x.ID)
	k := *keys.SectionNamed("instruments").Key("floor")
	k.Dim = x.Measures
	before := len(c.out)
	c.share(m, "instruments", "of_reading", who, x.OfReading)
	if w := m.Find("floor"); !c.sh.Loose && (w == nil || !w.Bad) && !(x.Floor >= k.Min && x.Floor <= k.Max) {
		c.outside(m, &k, who, x.Floor)
	}
	if m.Find("size") != nil {
		c.within(m, "instruments", "size", who, x.Size)
	}
	if x.Size > 0 && x.Measures != units.Velocity && !m.Bad("measures") {
		c.add(m.Pos("size"), who+" has a size and measures "+x.Measures.String(), "leave it out: the size is that of a vane, which measures velocity")
	}
	if len(c.out) == before && x.OfReading == 0 && x.Floor == 0 && !m.Bad("of_reading") && !m.Bad("floor") && !m.Bad("measures") {
		c.add(m.Row, who+" would be free of error", "give of_reading, floor or both: the maker's limits, or what repeats show")
	}
}
