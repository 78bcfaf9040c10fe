package systemfile

import (
	"slices"
	"strconv"
	"strings"

	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// Marshal writes s as a system file, in its own unit system. Loaded, the file
// gives s again: numbers exactly, apart from a percentage that no decimal number
// of percent hits, which may differ in the last bit. S must have passed Load
// or Finish.
func Marshal(s *duct.System) []byte {
	w := writer{units: s.Units}
	if s.Name != "" {
		w.line("name: %s", Scalar(s.Name))
	}
	w.line("units: %s", s.Units)
	w.air(s.Air)
	w.collector(&s.Collector)
	w.line("\nducts:")
	for i := range s.Ducts {
		w.duct(s, &s.Ducts[i])
	}
	w.line("\nports:")
	for i := range s.Ports {
		w.port(s, &s.Ports[i])
	}
	w.machines(s)
	if s.Room.Inlets > 0 && !s.Room.Guessed {
		w.line("\nroom: {inlets: %s}", w.number(s.Room.Inlets, units.Area))
	}
	w.settings(s.Settings)
	if len(s.Instruments) > 0 {
		w.line("\ninstruments:")
	}
	for i := range s.Instruments {
		w.instrument(&s.Instruments[i])
	}
	w.rest(s)
	return w.Bytes()
}

func (w *writer) air(a duct.Air) {
	if a.Standard {
		return
	}
	var r row
	r.put("temperature", w.number(a.Temperature, units.Temperature))
	if a.Barometer != 0 {
		r.put("pressure", w.number(a.Barometer, units.Pressure))
	} else {
		r.put("altitude", w.number(a.Altitude, units.Length))
	}
	r.put("humidity", w.number(a.Humidity, units.Share))
	w.line("air: %s", r)
}

func (w *writer) collector(c *duct.Collector) {
	w.line("\ncollector:\n  inlet: %s", w.number(c.Inlet, units.Diameter))
	w.fan(c)
	w.drop("cyclone", c.Cyclone)
	w.drop("filter", c.Filter)
	if c.Bin {
		w.line("  bin: true")
	}
	if !slices.IsSorted(c.Order) { // Parts count up in the usual order
		var names []string
		for _, p := range c.Order {
			names = append(names, p.String())
		}
		w.line("  order: [%s]", strings.Join(names, ", "))
	}
}

// fan writes the fan as it is described; nothing of one that is not known.
func (w *writer) fan(c *duct.Collector) {
	if c.FanKnown() == duct.ByNothing && c.Density == 0 && c.Rated == 0 && len(c.Whole) == 0 {
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

// guess writes what stands in place of a curve.
func (w *writer) guess(g *duct.FanGuess) {
	if g.Motor > 0 {
		w.line("    motor: %s\n    wheel: %s", w.number(g.Motor, units.MotorSize), w.number(g.Wheel, units.Diameter))
		return
	}
	w.line("    most_air: %s\n    most_suction: %s", w.number(g.MostAir, units.Flow), w.number(g.MostSuction, units.Pressure))
}

func (w *writer) drop(name string, d *duct.Drop) {
	switch {
	case d == nil:
	case d.Guessed:
		w.line("  %s: true", name)
	default:
		w.line("  %s: {drop: %s, at: %s}", name, w.number(d.Pressure, units.Pressure), w.number(d.At, units.Flow))
	}
}

func (w *writer) duct(s *duct.System, d *duct.Duct) {
	var r row
	r.put("id", Scalar(d.ID))
	into := collectorID
	if d.Into >= 0 {
		into = s.Ducts[d.Into].ID
	}
	r.put("into", Scalar(into))
	if !d.Straight {
		r.put("enters", degrees(d.Angle))
	}
	if d.Rectangular() {
		r.put("width", w.number(d.Width, units.Diameter))
		r.put("height", w.number(d.Height, units.Diameter))
	} else {
		r.put("diameter", w.number(d.Diameter, units.Diameter))
	}
	r.put("length", w.number(d.Length, units.Length))
	if d.Material != "" {
		r.put("material", d.Material)
	} else {
		r.put("roughness", w.number(d.Roughness, units.Roughness))
	}
	if d.Compressed != 0 {
		r.put("compressed", w.number(d.Compressed, units.Share))
	}
	if d.Lined {
		r.put("lining", "smooth")
	}
	var parts []string
	for i := range d.Fittings {
		parts = append(parts, w.fitting(&d.Fittings[i]))
	}
	if len(parts) > 0 {
		r.put("fittings", "["+strings.Join(parts, ", ")+"]")
	}
	var taps row
	for _, t := range d.Taps {
		taps.put(Scalar(t.ID), w.number(t.Distance, units.Length))
	}
	if len(taps) > 0 {
		r.put("taps", taps.String())
	}
	if d.Gate != "" {
		gate := Scalar(d.Gate)
		if d.GateDown {
			gate = "{id: " + gate + ", at: downstream}"
		}
		r.put("gate", gate)
	}
	if d.Abrupt {
		r.put("taper", "abrupt")
	}
	w.line("  - %s", r)
}

func (w *writer) fitting(f *duct.Fitting) string {
	var r row
	if f.Elbow {
		r.put("elbow", degrees(f.Angle))
		r.put("radius", units.Decimal(f.Radius))
	} else {
		r.put("loss", units.Decimal(f.Loss))
	}
	if f.Count != 1 {
		r.put("count", strconv.Itoa(f.Count))
	}
	if f.What != "" {
		r.put("what", Scalar(f.What))
	}
	return r.String()
}

func (w *writer) port(s *duct.System, p *duct.Port) {
	var r row
	r.put("id", Scalar(p.ID))
	r.put("duct", Scalar(s.Ducts[p.Duct].ID))
	if p.Hood != "" {
		r.put("hood", p.Hood)
	} else {
		r.put("hood", units.Decimal(p.Loss))
	}
	if p.Taper != 0 {
		r.put("angle", degrees(p.Taper))
	}
	if p.Need != 0 && !p.Shares {
		r.put("need", w.number(p.Need, units.Flow))
	}
	if o := p.Opening; o != nil && o.Diameter > 0 {
		r.put("opening", w.number(o.Diameter, units.Diameter))
	} else if o != nil {
		r.put("opening", "{width: "+w.number(o.Width, units.Diameter)+", height: "+w.number(o.Height, units.Diameter)+"}")
	}
	if p.Machine != "" {
		r.put("machine", Scalar(p.Machine))
	}
	w.line("  - %s", r)
}

func (w *writer) machines(s *duct.System) {
	if len(s.Machines) == 0 {
		return
	}
	w.line("\nmachines:")
	for _, x := range s.Machines {
		var ports []string
		for _, p := range x.Ports {
			ports = append(ports, Scalar(s.Ports[p].ID))
		}
		w.line("  - {id: %s, ports: [%s], need: %s}", Scalar(x.ID), strings.Join(ports, ", "), w.number(x.Need, units.Flow))
	}
}

func (w *writer) settings(list []duct.Setting) {
	if len(list) == 0 {
		return
	}
	var out []string
	for _, t := range list {
		out = append(out, Scalar(t.String()))
	}
	w.line("\nsettings: [%s]", strings.Join(out, ", "))
}

func (w *writer) instrument(x *duct.Instrument) {
	var r row
	r.put("id", Scalar(x.ID))
	r.put("measures", x.Measures.String())
	r.put("of_reading", w.number(x.OfReading, units.Share))
	r.put("floor", w.number(x.Floor, x.Measures))
	if x.Size > 0 {
		r.put("size", w.number(x.Size, units.Diameter))
	}
	w.line("  - %s", r)
}

func (w *writer) rest(s *duct.System) {
	var limits, spread row
	put := func(r *row, key string, v float64, d units.Dimension) {
		if v != 0 {
			r.put(key, w.number(v, d))
		}
	}
	put(&limits, "branch", s.Limits.ConveyBranch, units.Velocity)
	put(&limits, "main", s.Limits.ConveyMain, units.Velocity)
	if len(limits) > 0 {
		w.line("\nlimits: {conveying_velocity: %s}", limits)
	}
	put(&spread, "losses", s.Uncertainty.Losses, units.Share)
	put(&spread, "fan", s.Uncertainty.Fan, units.Share)
	put(&spread, "filter", s.Uncertainty.Filter, units.Share)
	if len(spread) > 0 {
		w.line("\nuncertainty: %s", spread)
	}
}
