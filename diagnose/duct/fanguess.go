package duct

import (
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"lostair/readings/units"
)

// FanGuess is what stands in place of a fan's curve: the curve's two ends, or
// the motor and the wheel.
type FanGuess struct {
	MostAir     float64 // flow at no fan static pressure, m³/s
	MostSuction float64 // fan static pressure at no flow, Pa
	Motor       float64 // W
	Wheel       float64 // diameter, m
}

// FanKnown says how a fan is described.
type FanKnown uint8

const (
	ByCurve   FanKnown = iota
	ByEnds             // most air and most suction
	ByMotor            // motor and wheel
	ByNothing          // the readings alone tell
)

// FanGuessed is whether the fan's curve is our guess, by its motor and wheel or by
// nothing at all.
func (c *Collector) FanGuessed() bool { return c.FanKnown() >= ByMotor }

// FanKnown says what the file tells of the fan.
func (c *Collector) FanKnown() FanKnown {
	switch {
	case len(c.Curve) > 0:
		return ByCurve
	case c.Guess == nil:
		return ByNothing
	case c.Guess.Motor > 0:
		return ByMotor
	}
	return ByEnds
}

// fan reads the fan by any of the ways in which it can be described.
func (r *reader) fan(n ast.Node, c *Collector, sh *sheet) {
	if n == nil {
		return
	}
	if _, text := plain(n); text {
		r.add(at(n), "the fan is not a set of keys", "write {curve: ...}, {most_air: ..., most_suction: ...} or {motor: ..., wheel: ...}; or leave the fan out: then the readings tell its curve")
		return
	}
	f, ok := r.read(n, "collector.fan", "the fan")
	if !ok {
		return
	}
	sh.fan = f.marks
	c.Density = f.number("density", 0)
	c.Rated = f.number("speed", 0)
	c.Curve = r.curve(f.node("curve"), sh)
	c.Whole = r.included(f.node("includes"), sh)
	g := FanGuess{
		MostAir: f.number("most_air", 0), MostSuction: f.number("most_suction", 0),
		Motor: f.number("motor", 0), Wheel: f.number("wheel", 0),
	}
	if slices.ContainsFunc(guessKeys, f.has) {
		c.Guess = &g
	}
}

var guessKeys = []string{"most_air", "most_suction", "motor", "wheel"}

// included reads the parts that the curve has in it.
func (r *reader) included(n ast.Node, sh *sheet) (out []Part) {
	names := sectionNamed("collector.fan").key("includes").Choices
	whole := r.rows(n, "includes", func(_ int, row ast.Node) bool {
		name, _ := plain(row)
		if !contains(names, name) {
			r.add(at(row), "includes: "+quote(name)+" is no part that a fan's curve can include", choose(names, name))
			return false
		}
		for p := range partNames {
			if partNames[p] == name && !slices.Contains(out, Part(p)) {
				out = append(out, Part(p))
			}
		}
		return true
	})
	if m := sh.fan.find("includes"); m != nil && !whole {
		m.bad = true
	}
	return out
}

// guess checks what stands in place of a curve.
func (c *checker) guess() {
	k, m := &c.s.Collector, &c.sh.fan
	for _, p := range k.Whole {
		if p == Cyclone && k.Cyclone == nil && !c.sh.collector.bad("cyclone") || p == Filter && k.Filter == nil && !c.sh.collector.bad("filter") {
			c.add(m.pos("includes"), "the fan's curve includes the "+p.String()+", and the collector has none", "give the "+p.String()+"'s drop, or take it from includes")
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
		if values[i] != 0 || m.find(name) != nil {
			given = append(given, name)
			c.within(m, "collector.fan", name, "the fan", values[i])
		}
	}
	if len(c.out) > before {
		return
	}
	for _, name := range given {
		if m.bad(name) {
			return
		}
	}
	curve := len(k.Curve) > 0 || m.find("curve") != nil
	said := strings.Join(given, " and ")
	pair := func(a, b string) bool { return said == a+" and "+b }
	switch {
	case curve:
		c.add(m.pos(given[0]), "the fan has a curve and "+said+" as well", "leave one of them out; a curve tells more")
	case pair("most_air", "most_suction"), pair("motor", "wheel"):
	case len(given) == 1:
		other := map[string]string{"most_air": "most_suction", "most_suction": "most_air", "motor": "wheel", "wheel": "motor"}[given[0]]
		c.add(m.pos(given[0]), "the fan has "+given[0]+" and no "+other, "add "+other+", or leave the fan out: then the readings tell its curve")
	default:
		c.add(m.pos(given[0]), "the fan has "+said, "give most_air and most_suction, or motor and wheel, and not both")
	}
}

// guess writes what stands in place of a curve.
func (w *writer) guess(g *FanGuess) {
	if g.Motor > 0 {
		w.line("    motor: %s\n    wheel: %s", w.number(g.Motor, units.MotorSize), w.number(g.Wheel, units.Diameter))
		return
	}
	w.line("    most_air: %s\n    most_suction: %s", w.number(g.MostAir, units.Flow), w.number(g.MostSuction, units.Pressure))
}

// fan writes the fan as it is described; nothing of one that is not known.
func (w *writer) fan(c *Collector) {
	if c.FanKnown() == ByNothing && c.Density == 0 && c.Rated == 0 && len(c.Whole) == 0 {
		return
	}
	w.line("  fan:")
	if len(c.Curve) > 0 {
		w.line("    curve:")
	}
	for _, p := range c.Curve {
		w.line("      - [%s, %s]", w.number(p.Flow, units.Flow), w.number(p.Pressure, units.Pressure))
	}
	if c.Guess != nil {
		w.guess(c.Guess)
	}
	if c.Density != 0 {
		w.line("    density: %s", w.number(c.Density, units.Density))
	}
	if c.Rated != 0 {
		w.line("    speed: %s", w.number(c.Rated, units.Rotation))
	}
	if len(c.Whole) > 0 {
		var names []string
		for _, p := range c.Whole {
			names = append(names, p.String())
		}
		w.line("    includes: [%s]", strings.Join(names, ", "))
	}
}
