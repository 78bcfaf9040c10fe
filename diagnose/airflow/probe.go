package airflow

import "lostair/readings/units"

// Probe is a place and a quantity that can be read there, resolved to the
// model's segments.
type Probe struct {
	what     units.Quantity
	place    place
	up, down int32 // segments on either side of a tap; the port's segment
	axis     bool  // a velocity pressure on the axis
	bore     float64
	rest     [3]bool // of a point between the collector's parts: those behind it in its half
}

type place uint8

const (
	atTap place = iota
	atPort
	atInlet
	atFan
	atBin
	atFilter
	atPart
	atMotor
)

// OnAxis turns a velocity-pressure probe into one on the duct's axis: what a
// single reading shows that is no traverse.
func (r Probe) OnAxis() Probe {
	r.axis = r.what == units.VelocityPressure || r.what == units.TotalPressure
	return r
}

// AtPort says whether it reads at a port.
func (r Probe) AtPort() bool { return r.place == atPort }

// Bore is the area of the duct at the probe, m².
func (r Probe) Bore() float64 { return r.bore }

// Quantity is what the probe reads.
func (r Probe) Quantity() units.Quantity { return r.what }

// ProbeHole is the static pressure at a hole that could be drilled at the
// upstream end of a duct; false where no hole belongs (a hose, a port) or a
// tap is there already.
func (m *Model) ProbeHole(d int) (Probe, bool) {
	t := &m.Sys.Ducts[d]
	if t.Material == "flexible" || t.Length <= 0 || len(t.Taps) > 0 && t.Taps[0].Distance < 0.3*t.Length {
		return Probe{}, false
	}
	x := m.first[d]
	return Probe{what: units.StaticPressure, place: atTap, up: x, down: x, bore: m.seg[x].area}, true
}

// DuctOf is the duct that a probe is in, an index into Sys.Ducts; -1: the collector.
func (m *Model) DuctOf(p Probe) int { return int(m.seg[p.down].duct) }
