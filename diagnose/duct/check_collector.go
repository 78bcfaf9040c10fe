package duct

import (
	"fmt"
	"strings"

	"lostair/diagnose/duct/keys"
)

// curve checks the fan curve: each point, then one point against the next.
func (c *checker) curve() {
	curve, sh := c.s.Collector.Curve, c.sh
	if w := sh.Fan.Find("curve"); w != nil && w.Bad || w == nil && len(curve) == 0 {
		return // reported, or there is none
	}
	at := sh.Fan.Pos("curve")
	if len(curve) < 2 {
		c.add(at, "the fan curve has fewer than two points", "give at least two points [flow, pressure], better five, over the range it runs in; or leave the fan out: then the readings tell its curve")
		return
	}
	before := len(c.out)
	bad := false
	for i, p := range curve {
		m := &sh.Curve[i]
		who := fmt.Sprintf("point %d of the fan curve", i+1)
		c.within(m, "collector.fan.curve", "flow", who, p.Flow)
		c.within(m, "collector.fan.curve", "pressure", who, p.Pressure)
		bad = bad || m.Bad("flow") || m.Bad("pressure")
	}
	if bad || len(c.out) > before { // what follows from them would only confuse
		return
	}
	c.shape(at)
}

func (c *checker) shape(at keys.Pos) {
	curve := c.s.Collector.Curve
	s := keys.SectionNamed("collector.fan.curve")
	show := func(key string, v float64) string { return c.show(s.Key(key), v) }
	peak := 0.0
	fallen := false
	for i, p := range curve {
		m := &c.sh.Curve[i]
		if i > 0 && p.Flow <= curve[i-1].Flow {
			c.add(m.Pos("flow"), fmt.Sprintf("point %d of the fan curve: flow %s is not above the %s before it", i+1, show("flow", p.Flow), show("flow", curve[i-1].Flow)),
				"list the points with the flow rising, each flow once")
		}
		if i > 0 && fallen && p.Pressure > curve[i-1].Pressure {
			c.add(m.Pos("pressure"), fmt.Sprintf("point %d of the fan curve: pressure rises to %s after its peak", i+1, show("pressure", p.Pressure)),
				"past the peak a fan's pressure only falls: check the figure, or smooth it away")
		}
		fallen = fallen || i > 0 && p.Pressure < curve[i-1].Pressure
		peak = max(peak, p.Pressure)
	}
	switch {
	case peak > 0 && !fallen:
		c.warn(at, "the fan curve never falls", "add the points past its peak, up to the largest flow the fan can reach")
	case peak == 0:
		c.add(at, "the fan makes no pressure at any flow", "give the pressures of the fan curve")
	case peak > mostOfFan && !c.sh.Loose:
		c.warn(at, "the fan curve reaches "+show("pressure", peak)+", more than a fan makes", "is that so? A bare pressure is in "+c.unit(s.Key("pressure"))+"; the air is taken to keep its density, which it does not in a blower")
	}
}

// mostOfFan is the pressure above which ISO 13349 and ISO 5801 no longer speak of
// a fan: 25 kJ/kg, 30 kPa in standard air. From memory.
const mostOfFan = 30e3

func (c *checker) drop(d *Drop, name string, m *keys.Marks) {
	if d == nil {
		return
	}
	c.within(m, "collector."+name, "drop", "the "+name, d.Pressure)
	c.within(m, "collector."+name, "at", "the "+name, d.At)
}

var guessKeys = []string{"most_air", "most_suction", "motor", "wheel"}

// guess checks what stands in place of a curve.
func (c *checker) guess() {
	k, m := &c.s.Collector, &c.sh.Fan
	for _, p := range k.Whole {
		if p == Cyclone && k.Cyclone == nil && !c.sh.Collector.Bad("cyclone") || p == Filter && k.Filter == nil && !c.sh.Collector.Bad("filter") {
			c.add(m.Pos("includes"), "the fan's curve includes the "+p.String()+", and the collector has none", "give the "+p.String()+"'s drop, or take it from includes")
		}
	}
	g := k.Guess
	if g == nil {
		return
	}
	values := []float64{g.MostAir, g.MostSuction, g.Motor, g.Wheel}
	var given []string
	before := len(c.out)
	for i, name := range guessKeys {
		if values[i] != 0 || m.Find(name) != nil {
			given = append(given, name)
			c.within(m, "collector.fan", name, "the fan", values[i])
		}
	}
	if len(c.out) > before {
		return
	}
	for _, name := range given {
		if m.Bad(name) {
			return
		}
	}
	curve := len(k.Curve) > 0 || m.Find("curve") != nil
	said := strings.Join(given, " and ")
	pair := func(a, b string) bool { return said == a+" and "+b }
	switch {
	case curve:
		c.add(m.Pos(given[0]), "the fan has a curve and "+said+" as well", "leave one of them out; a curve tells more")
	case pair("most_air", "most_suction"), pair("motor", "wheel"):
	case len(given) == 1:
		other := map[string]string{"most_air": "most_suction", "most_suction": "most_air", "motor": "wheel", "wheel": "motor"}[given[0]]
		c.add(m.Pos(given[0]), "the fan has "+given[0]+" and no "+other, "add "+other+", or leave the fan out: then the readings tell its curve")
	default:
		c.add(m.Pos(given[0]), "the fan has "+said, "give most_air and most_suction, or motor and wheel, and not both")
	}
}

// parts checks the order of the collector's parts and fills it in.
func (c *checker) parts() {
	k := &c.s.Collector
	there := [...]bool{Cyclone: k.Cyclone != nil, Fan: true, Filter: k.Filter != nil}
	if k.Bin && k.Cyclone == nil && !c.sh.Collector.Bad("cyclone") {
		c.warn(c.sh.Collector.Pos("bin"), "there is a bin and no cyclone", "give the cyclone's drop, or leave the bin out if it is not sealed under a cyclone")
	}
	var order []Part
	var seen [len(there)]bool
	for i, p := range k.Order {
		at := c.sh.Order[i].Pos
		switch {
		case int(p) >= len(there):
			c.add(at, fmt.Sprintf("order: part %d is not known", p), "use Cyclone, Fan and Filter")
		case seen[p]:
			c.add(at, "order has "+p.String()+" twice", "list each part once")
		case !there[p]:
			c.warn(at, "order has a "+p.String()+", and the collector has none", "describe it, or leave it out")
		default:
			order = append(order, p)
		}
		if int(p) < len(there) {
			seen[p] = true
		}
	}
	given := len(k.Order) > 0 || c.sh.Collector.Find("order") != nil
	for p, ok := range there {
		switch {
		case !ok || seen[p]:
		case !given:
			order = append(order, Part(p))
		case !c.sh.Collector.Bad("order"):
			c.add(c.sh.Collector.Pos("order"), "order lacks the "+Part(p).String(), "list every part of the collector")
		}
	}
	k.Order = order
}
