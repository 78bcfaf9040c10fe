package duct

import "lostair/readings/units"

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
