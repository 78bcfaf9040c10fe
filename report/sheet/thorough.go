package sheet

import (
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
)

// thoroughSource is where the points of a thorough test are from.
const thoroughSource = "the points that UFGS 15951N, Testing industrial ventilation systems, 3.2.2.5, asks for: static pressure at each hood, in the branches and mains, at the inlet and outlet of the air cleaner and of the fan"

// ThoroughRound is what a thorough test reads: in each setting of the gates in
// use each hood, its branch and its main up to the collector, then the collector's
// inlet, the filter's drop and the fan's inlet and outlet.
//
// The points between the collector's parts are left out where they are in the same
// pipe as another. The fan's speed and motor are read where the file has an
// instrument for them; the air of the room is read once.
func ThoroughRound(s *duct.System) []readings.Row {
	b := &round{s: s, gauge: report.InstrumentFor(s, units.Pressure), vane: report.InstrumentFor(s, units.Velocity), seen: map[string]bool{}}
	all := settingsOf(s)
	for _, q := range [...]units.Quantity{units.AirTemperature, units.Barometer, units.Humidity} {
		b.add(all[0], readings.Room, q, "")
	}
	between := betweenParts(s)
	for _, open := range all {
		for i := range s.Ports {
			if breathes(s, i, open) {
				b.way(open, i)
			}
		}
		b.once(open, readings.CollectorInlet, units.StaticPressure, b.gauge)
		if s.Collector.Filter != nil {
			b.once(open, readings.Filter, units.PressureDrop, b.gauge)
		}
		for _, point := range between {
			b.once(open, point, units.StaticPressure, b.gauge)
		}
		b.motor(open)
	}
	return b.out
}

// betweenParts are the points in the pipes between the collector's parts, each pipe
// once: the collector's inlet is its first part's, the fan's own points stand for the
// pipes at the fan, and behind the last part there is the room.
func betweenParts(s *duct.System) []string {
	out := []string{readings.FanInlet, readings.FanOutlet}
	order := s.Collector.Order
	for i, p := range order {
		before := i > 0 && order[i-1] != duct.Fan
		behind := i+1 < len(order) && order[i+1] != duct.Fan
		switch {
		case p == duct.Cyclone && before:
			out = append(out, readings.CycloneInlet)
		case p == duct.Filter && behind && order[i+1] != duct.Cyclone:
			out = append(out, readings.AfterFilter)
		}
		if p == duct.Cyclone && behind {
			out = append(out, readings.CycloneOutlet)
		}
	}
	return out
}

// settingsOf are the settings of the gates in use, or each gate alone.
func settingsOf(s *duct.System) []readings.Open {
	var out []readings.Open
	for _, x := range s.Settings {
		out = append(out, openOf(x))
	}
	if len(out) > 0 {
		return out
	}
	for _, g := range s.Gates() {
		out = append(out, readings.Open{Gates: []string{g}})
	}
	if len(out) == 0 {
		out = append(out, readings.Open{All: true})
	}
	return out
}

// breathes is whether a port's gates are all open.
func breathes(s *duct.System, port int, o readings.Open) bool {
	for d := s.Ports[port].Duct; d >= 0; d = s.Ducts[d].Into {
		if g := s.Ducts[d].Gate; g != "" && !o.All && !has(o.Gates, g) {
			return false
		}
	}
	return true
}

func has(list []string, id string) bool {
	for _, x := range list {
		if x == id {
			return true
		}
	}
	return false
}

// way reads a port and every tap from it to the collector.
func (b *round) way(o readings.Open, port int) {
	b.once(o, b.s.Ports[port].ID, units.MeanVelocity, b.vane)
	for d := b.s.Ports[port].Duct; d >= 0; d = b.s.Ducts[d].Into {
		for _, t := range b.s.Ducts[d].Taps {
			b.once(o, t.ID, units.StaticPressure, b.gauge)
		}
	}
}

// once adds a reading that isn't there yet.
func (b *round) once(o readings.Open, point string, q units.Quantity, instrument string) {
	if !b.seen[seenKey(o, point)] {
		b.add(o, point, q, instrument)
	}
}

// Look is something to look at in a thorough test.
type Look struct{ What, How string }

// looks are what is looked at beside the readings, in the order of the air.
func looks(s *duct.System) []Look {
	out := []Look{
		{"Hoods", "whole, in place, nothing in their way"},
		{"Hoses and ducts", "no dents, tears, settled dust or loose joins; bonding straps in place"},
		{"Gates", "open to the stop, shut tight"},
		{"Collector and bin", "sealed, emptied, relief and isolation as fitted"},
	}
	if s.Collector.Filter != nil {
		out = append(out, Look{"Filter", "clean, whole, seated all round"})
	}
	return append(out,
		Look{"Fan", "locked off: wheel clean and whole, belt tight; running: the right way round"},
		Look{"Capture", "the dust at each hood is drawn in while the machine works"})
}
