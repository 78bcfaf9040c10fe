// Package sheet makes field sheets: a round of readings to take, in the order to
// go, as a page to print and as a CSV file to fill in.
package sheet

import (
	"math"
	"slices"
	"strings"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/plan"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/figure"
)

// Stop is a reading to take.
type Stop struct {
	readings.Row                // without a value
	Expected     fault.Interval // SI, with the range in which no one need worry
}

// Sheet is a round of readings to take, in the order to take them.
type Sheet struct {
	System   *duct.System
	Stops    []Stop
	Looks    []readings.Row // to be ticked yes or no, after the stops
	Tell     bool           // what to expect stands beside each blank
	Thorough bool           // a thorough test, to hand over signed
}

// Looks are what can be seen on every round without an instrument.
func Looks(s *duct.System) []readings.Row {
	var out []readings.Row
	add := func(point string, k readings.Look) {
		out = append(out, readings.Row{Point: point, Look: k, Value: math.NaN()})
	}
	for _, g := range s.Gates() {
		add(g, readings.OpensFully)
		add(g, readings.ShutsFully)
	}
	if s.Collector.Bin {
		add(readings.Bin, readings.Sealed)
	}
	if s.Collector.Filter != nil {
		add(readings.Filter, readings.Clean)
	} else { // what blows outdoors takes its air from the room
		add(readings.CollectorInlet, readings.RisesWithDoorOpen)
		out[len(out)-1].Open = readings.Open{All: true}
	}
	return out
}

// Minutes is about how long the round takes. Common practice, no source.
func (sh *Sheet) Minutes() float64 {
	t, last := 0.0, ""
	for i := range sh.Stops {
		x := &sh.Stops[i]
		if key := setupKey(x); key != last || i == 0 {
			t, last = t+plan.MinutesGates, key
		}
		switch x.Quantity.Dimension() {
		case units.Velocity, units.Flow:
			t += plan.MinutesMouth
		default:
			t += plan.MinutesTap
		}
	}
	return t + plan.MinutesTap/4*float64(len(sh.Looks))
}

// setupKey is the same for stops that need the gates and hoses alike.
func setupKey(x *Stop) string {
	return x.Open.String() + "\x00" + strings.Join(x.HoseOff, "+")
}

// UsualRound is what to read when nothing is known yet: each gate open alone,
// with the static pressure at the tap nearest its port, the velocity at the
// port and the static pressure at the tap nearest the collector; then with all
// gates open, or in each setting with several open that the file says is in use, ports
// included, and with none the taps that more than one port breathes through,
// and the filter. A port without a gate is read in each. The collector's and
// the fan's inlet are read only if no duct that flows into the collector has a
// tap, since they need a hole that the file knows nothing of; or if the file has no
// curve of the fan, which is read first.
func UsualRound(s *duct.System) []readings.Row {
	b := &round{s: s, gauge: report.InstrumentFor(s, units.Pressure), vane: report.InstrumentFor(s, units.Velocity), seen: map[string]bool{}}
	ports := portsByGate(s)
	var several []readings.Open
	for _, t := range s.Together() {
		several = append(several, openOf(t))
	}
	b.most = several[0]
	b.fan()
	for _, g := range s.Gates() {
		open := readings.Open{Gates: []string{g}}
		if !usedAlone(s, g) {
			continue
		}
		for _, p := range ports[g] {
			b.drop(open, p)
		}
		b.last(open, ports[g])
	}
	for _, open := range append(several, readings.Open{}) {
		b.trunks(open)
		if len(s.Settings) > 0 {
			for i := range s.Ports {
				if g := s.GatesOf(i); len(g) > 0 && !slices.ContainsFunc(g, func(g string) bool { return !open.Opens(g) }) {
					b.drop(open, i)
				}
			}
		}
		for _, p := range ports[""] {
			b.drop(open, p)
		}
	}
	return b.out
}

// openOf is a setting of the system file in the words of a readings file.
func openOf(t duct.Setting) readings.Open { return readings.Open{All: t.All, Gates: t.Gates} }

// usedAlone is whether the file says that a gate is used open alone; so is one that it is
// silent of, and each where it names no settings.
func usedAlone(s *duct.System, gate string) bool {
	with := false
	for _, t := range s.Settings {
		switch {
		case len(t.Gates) == 1 && t.Gates[0] == gate:
			return true
		case openOf(t).Opens(gate):
			with = true
		}
	}
	return !with
}

type round struct {
	s           *duct.System
	gauge, vane string
	most        readings.Open // the setting with the most air that is read
	out         []readings.Row
	seen        map[string]bool // what is read already, by seenKey
}

// fan reads the fan whose file has no curve at both ends of what it can do: with all
// gates shut and open.
func (b *round) fan() {
	if b.s.Collector.FanKnown() == duct.ByCurve {
		return
	}
	for _, open := range append([]readings.Open{{}}, b.most) {
		b.add(open, readings.FanInlet, units.StaticPressure, b.gauge)
	}
}

func (b *round) add(o readings.Open, point string, q units.Quantity, instrument string) {
	if b.seen[seenKey(o, point)+q.String()] {
		return
	}
	b.seen[seenKey(o, point)], b.seen[seenKey(o, point)+q.String()] = true, true
	b.out = append(b.out, readings.Row{Open: o, Point: point, Quantity: q, Value: math.NaN(), Instrument: instrument})
}

// drop reads a port and the tap nearest to it that only it breathes through.
func (b *round) drop(o readings.Open, port int) {
	for d := b.s.Ports[port].Duct; d >= 0; d = b.s.Ducts[d].Into {
		if len(b.s.Ducts[d].Children) > 1 {
			break
		}
		if t := b.s.Ducts[d].Taps; len(t) > 0 {
			b.add(o, t[0].ID, units.StaticPressure, b.gauge)
			break
		}
	}
	b.add(o, b.s.Ports[port].ID, units.MeanVelocity, b.vane)
}

func (b *round) trunks(o readings.Open) {
	shared := figure.SharedDucts(b.s)
	for i := range b.s.Ducts {
		if !shared[i] {
			continue
		}
		for _, t := range b.s.Ducts[i].Taps {
			b.add(o, t.ID, units.StaticPressure, b.gauge)
		}
	}
	if !tapped(b.s) {
		b.add(o, readings.CollectorInlet, units.StaticPressure, b.gauge)
		if o.String() == b.most.String() && !b.seen[seenKey(o, readings.FanInlet)] {
			b.add(o, readings.FanInlet, units.StaticPressure, b.gauge)
		}
	}
	if o.String() == b.most.String() && b.s.Collector.Filter != nil {
		b.add(o, readings.Filter, units.PressureDrop, b.gauge)
	}
	b.motor(o)
}

// motor reads the fan's motor, and with all gates open the fan's speed, by the
// instruments that the file has for them.
func (b *round) motor(o readings.Open) {
	for _, q := range [...]units.Quantity{units.FanSpeed, units.MotorCurrent, units.MotorPower} {
		if in := report.InstrumentFor(b.s, q.Dimension()); in != "" && (q != units.FanSpeed || o.String() == b.most.String()) {
			b.add(o, readings.FanPoint, q, in)
		}
	}
}

// tapped says whether a duct that flows into the collector has a tap.
func tapped(s *duct.System) bool {
	return slices.ContainsFunc(s.Ducts, func(d duct.Duct) bool { return d.Into < 0 && len(d.Taps) > 0 })
}

// last reads what lies nearest the collector on the way of each port: a tap,
// or the collector's inlet if there is none but the port's own.
func (b *round) last(o readings.Open, ports []int) {
	for _, p := range ports {
		point := readings.CollectorInlet
		for d := b.s.Ports[p].Duct; d >= 0; d = b.s.Ducts[d].Into {
			if t := b.s.Ducts[d].Taps; len(t) > 0 {
				point = t[len(t)-1].ID
			}
		}
		if b.seen[seenKey(o, point)] && !tapped(b.s) {
			point = readings.CollectorInlet
		}
		if !b.seen[seenKey(o, point)] {
			b.add(o, point, units.StaticPressure, b.gauge)
		}
	}
}

func seenKey(o readings.Open, point string) string { return o.String() + "\x00" + point }

// portsByGate lists the ports that each gate alone connects; under "" those
// without a gate. A port behind two gates stands under neither.
func portsByGate(s *duct.System) map[string][]int {
	out := map[string][]int{}
	for i := range s.Ports {
		gates := s.GatesOf(i)
		switch len(gates) {
		case 0:
			out[""] = append(out[""], i)
		case 1:
			out[gates[0]] = append(out[gates[0]], i)
		}
	}
	return out
}
