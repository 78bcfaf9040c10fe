package airflow

import (
	"fmt"
	"math"

	"lostair/readings/units"
)

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

// Reserved points.
const (
	CollectorInlet = "collector-inlet"
	FanInlet       = "fan-inlet"
	FilterPoint    = "filter"
	BinPoint       = "bin"
)

// ProbeAt resolves a point id (tap, port or reserved point) and a quantity.
// A quantity that can't be read there is an error that says what can.
func (m *Model) ProbeAt(point string, q units.Quantity) (Probe, error) {
	p := Probe{what: q}
	switch point {
	case CollectorInlet:
		p.place, p.up, p.down = atInlet, 1, 1
	case FanInlet:
		p.place, p.up, p.down = atFan, m.fanSeg, m.fanSeg
	case BinPoint:
		// the reading depends on the flow through the cyclone, which may be above the bin
		p.place, p.up, p.down = atBin, max(m.cycSeg, 0), 0
	case FilterPoint:
		p.place, p.up, p.down = atFilter, m.filSeg, m.filSeg
		if m.filSeg < 0 {
			return p, fmt.Errorf("the system has no filter")
		}
		if q != units.PressureDrop {
			return p, fmt.Errorf("%s can't be read at the filter; pressure_drop can", q)
		}
		return p, nil
	default:
		if d, t, ok := m.Sys.TapAt(point); ok {
			p.place, p.down = atTap, m.tapNode[d][t]
			p.up = m.legOf(p.down)
		} else if i, ok := m.Sys.PortNamed(point); ok {
			p.place, p.up = atPort, m.ports[i]
			p.down = p.up
		} else if found, err := m.betweenParts(&p, point); found {
			return p, err
		} else if point == FanPoint {
			p.place, p.up, p.down = atMotor, m.fanSeg, m.fanSeg
			p.bore = m.seg[m.fanSeg].area
			if !q.OfMotor() {
				return p, fmt.Errorf("%s can't be read at the fan; speed, motor_current and motor_power can", q)
			}
			return p, nil
		} else {
			return p, fmt.Errorf("there is no tap or port %q", point)
		}
	}
	if q.OfMotor() {
		return p, fmt.Errorf("%s is read at the point fan only", q)
	}
	if q.OfAir() {
		return p, fmt.Errorf("%s is read at the point room only", q)
	}
	p.bore = m.seg[p.down].area
	if p.place == atPort {
		p.bore = m.mouth(m.seg[p.up].port, nil)
	}
	if q == units.PressureDrop && p.place != atFilter {
		return p, fmt.Errorf("a pressure_drop is read at the filter only")
	}
	if p.place == atBin && q != units.StaticPressure && q != units.Suction {
		return p, fmt.Errorf("at the bin only its static pressure can be read")
	}
	return p, nil
}

// legOf returns the segment of the same duct that flows into a tap's node.
func (m *Model) legOf(node int32) int32 {
	d := m.seg[node].duct
	for x := node + 1; int(x) < len(m.seg); x++ {
		if m.seg[x].parent == node && m.seg[x].duct == d {
			return x
		}
	}
	return node
}

// flow is the flow that passes the probe.
func (s *State) flow(r Probe) float64 { return (s.Q[r.up] + s.Q[r.down]) / 2 }

// Value returns what the reading should show, SI; suction as positive.
func (s *State) Value(r Probe) float64 {
	switch r.what {
	case units.StaticPressure:
		return s.static(r)
	case units.Suction:
		return -s.static(r)
	case units.PressureDrop:
		return s.m.filR * s.c.Filter * s.Q[r.up]
	case units.FlowRate:
		return s.flow(r)
	case units.FanSpeed, units.MotorCurrent, units.MotorPower:
		return s.atMotor(r.what)
	case units.TotalPressure:
		v, _ := s.velocity(r)
		return s.static(r) + s.m.Air.Density/2*v*v
	}
	v, _ := s.velocity(r)
	if r.what == units.VelocityPressure {
		return s.m.Air.Density / 2 * v * v
	}
	return v
}

// OnAxis turns a velocity-pressure probe into one on the duct's axis: what a
// single reading shows that is no traverse.
func (r Probe) OnAxis() Probe {
	r.axis = r.what == units.VelocityPressure || r.what == units.TotalPressure
	return r
}

// AtPort says whether it reads at a port.
func (r Probe) AtPort() bool { return r.place == atPort }

// velocity returns what passes the probe, on the axis where that is read, and
// its slope by the flow.
func (s *State) velocity(r Probe) (v, dv float64) {
	sg := &s.m.seg[r.down]
	q := s.flow(r)
	bore := sg.area
	if r.place == atPort {
		bore = s.m.mouth(sg.port, &s.cfg)
	}
	v, dv = q/bore, 1/bore
	if r.what != units.CentreVelocity && !r.axis {
		return v, dv
	}
	// in a duct the profile is developed; at a port's mouth it is anything from flat to that
	f, df, _ := frictionFactor(sg.re*math.Abs(q), sg.rel, s.guess(r.down))
	c, dc := CentreRatio(f), 0.0
	if c < laminarCentre {
		dc = centreSlope / (2 * math.Sqrt(f)) * df * sg.re
	}
	if r.place == atPort {
		c, dc = 1+mouthProfile*(c-1), mouthProfile*dc
	}
	return v * c, dv*c + math.Abs(v)*dc
}

// CentreRatio returns the velocity on the axis over the mean velocity of
// developed flow with Darcy's factor f: 1 + 1.326 √f, from the logarithmic
// law (F. M. White, Fluid Mechanics; value from memory), 2 when laminar.
func CentreRatio(f float64) float64 { return min(1+centreSlope*math.Sqrt(f), laminarCentre) }

func (s *State) static(r Probe) float64 {
	switch r.place {
	case atPort:
		q := s.Q[r.up]
		k := s.c.K[r.up]
		if p := s.m.seg[r.up].port; s.cfg.HoseOff != nil && s.cfg.HoseOff[p] {
			k = s.c.Plain[p]
		}
		return -(1 + k) * s.m.seg[r.up].vp * q * math.Abs(q)
	case atInlet:
		return s.ofHalf(1)
	case atFan:
		return s.fanInlet()
	case atBin:
		return s.bin()
	case atPart:
		return s.betweenStatic(r)
	}
	return s.P[r.down]
}

// fanInlet is the static pressure before the fan, what stands before it in its
// half of the collector taken off.
func (s *State) fanInlet() float64 {
	p, _ := s.beforeFan()
	return s.ofHalf(s.m.fanSeg) - p
}

// ofHalf is the static pressure where a half of the collector begins, behind
// the exchange at its node: that at its end and what is lost on the way.
func (s *State) ofHalf(x int32) float64 {
	q := s.Q[x]
	p := s.k[x] * s.m.seg[x].vp * q * math.Abs(q)
	var slope float64
	s.collectorLoss(x, q, &p, &slope)
	if next := s.m.seg[x].parent; next >= 0 {
		p += s.P[next]
	}
	return p
}

// bin is the static pressure in the bin: that of the air behind the cyclone
// brought to rest, and a share of the cyclone's loss more.
func (s *State) bin() float64 {
	q := s.Q[0]
	return s.P[0] + s.m.seg[0].vp*q*math.Abs(q) + s.c.Bin*s.cycloneLoss()
}

func (s *State) cycloneLoss() float64 {
	if s.m.cycSeg < 0 {
		return 0
	}
	q := s.Q[s.m.cycSeg]
	return s.m.cycK * s.c.Cyclone * q * math.Abs(q)
}

// beforeFan is what filter and cyclone lose before the fan in its half of the
// collector, and the slope by flow.
func (s *State) beforeFan() (p, dp float64) {
	m := s.m
	q := s.Q[m.fanSeg]
	if m.filSeg == m.fanSeg && m.filPre {
		p += m.filR * s.c.Filter * q
		dp += m.filR * s.c.Filter
	}
	if m.cycSeg == m.fanSeg && m.cycPre {
		k := m.cycK * s.c.Cyclone
		p += k * q * math.Abs(q)
		dp += 2 * k * math.Abs(q)
	}
	return p, dp
}

// seed puts the reading's derivatives by flows and pressures into g.
func (s *State) seed(r Probe, g *Gradient) {
	m := s.m
	onFlow := func(w float64) {
		g.wq[r.up] += w / 2
		g.wq[r.down] += w / 2
	}
	switch r.what {
	case units.StaticPressure:
		s.seedStatic(r, g, 1)
	case units.Suction:
		s.seedStatic(r, g, -1)
	case units.PressureDrop:
		onFlow(m.filR * s.c.Filter)
	case units.FlowRate:
		onFlow(1)
	case units.FanSpeed, units.MotorCurrent, units.MotorPower:
		onFlow(s.motorSlopes(r.what, g))
	case units.TotalPressure:
		s.seedStatic(r, g, 1)
		v, dv := s.velocity(r)
		onFlow(m.Air.Density * v * dv)
	case units.VelocityPressure:
		v, dv := s.velocity(r)
		onFlow(m.Air.Density * v * dv)
	default:
		_, dv := s.velocity(r)
		onFlow(dv)
	}
}

func (s *State) seedStatic(r Probe, g *Gradient, sign float64) {
	m := s.m
	switch r.place {
	case atPort:
		q := s.Q[r.up]
		g.wq[r.up] += sign * s.static(r) * 2 / nonZero(q)
	case atInlet, atFan:
		// static at a segment's start = static at its end + its losses
		x := r.up
		if p := m.seg[x].parent; p >= 0 {
			g.wp[p] += sign
		}
		w := s.dCol[x]
		if r.place == atFan {
			_, dpre := s.beforeFan()
			w -= dpre
		}
		g.wq[x] += sign * w
	case atBin:
		g.wp[0] += sign
		g.wq[0] += sign * 2 * m.seg[0].vp * math.Abs(s.Q[0])
		if x := m.cycSeg; x >= 0 {
			g.wq[x] += sign * s.c.Bin * 2 * m.cycK * s.c.Cyclone * math.Abs(s.Q[x])
		}
	case atPart:
		s.seedBetween(r, g, sign)
	default:
		g.wp[r.down] += sign
	}
}

// direct adds the derivatives by coefficients that stand in the reading itself.
func (s *State) direct(r Probe, g *Gradient) {
	m, c := s.m, s.c
	sign := 1.0
	switch r.what {
	case units.StaticPressure, units.TotalPressure:
	case units.Suction:
		sign = -1
	case units.FanSpeed, units.MotorCurrent, units.MotorPower:
		s.motorSlopes(r.what, g)
		return
	case units.PressureDrop:
		g.Filter += m.filR * s.Q[r.up]
		return
	default:
		return
	}
	x := r.up
	q := s.Q[x]
	v := m.seg[x].vp * q * math.Abs(q)
	switch r.place {
	case atPort:
		if p := m.seg[x].port; s.cfg.HoseOff != nil && s.cfg.HoseOff[p] {
			g.Plain[p] -= sign * v
		} else {
			g.K[x] -= sign * v
		}
	case atBin:
		if y := m.cycSeg; y >= 0 {
			g.Cyclone += sign * c.Bin * m.cycK * s.Q[y] * math.Abs(s.Q[y])
			g.Bin += sign * s.cycloneLoss()
		}
	case atPart:
		s.directBetween(r, g, sign)
	case atInlet, atFan:
		g.K[x] += sign * v
		pre := r.place == atFan
		if m.filSeg == x && !(pre && m.filPre) {
			g.Filter += sign * m.filR * q
		}
		if m.cycSeg == x && !(pre && m.cycPre) {
			g.Cyclone += sign * m.cycK * q * math.Abs(q)
		}
		if m.fanSeg == x {
			s.directFan(q, g, sign)
		}
	}
}

func nonZero(q float64) float64 {
	if q == 0 {
		return 1e-12
	}
	return q
}

// Bore is the area of the duct at the probe, m².
func (r Probe) Bore() float64 { return r.bore }

// Quantity is what the probe reads.
func (r Probe) Quantity() units.Quantity { return r.what }

// VelocityPressure is the mean velocity pressure at the probe, Pa.
func (s *State) VelocityPressure(r Probe) float64 {
	v := s.flow(r) / r.bore
	return s.m.Air.Density / 2 * v * v
}

// PortFlow is the flow into a port, m³/s.
func (s *State) PortFlow(port int) float64 { return s.Q[s.m.ports[port]] }

// DuctFlow is the flow at a duct's downstream end, m³/s.
func (s *State) DuctFlow(d int) float64 { return s.Q[s.m.final[d]] }

// DuctLoss is what a duct costs in total pressure: friction, bends, entry, and
// at a port its hood and gate, Pa.
func (s *State) DuctLoss(d int) float64 {
	var sum float64
	for _, x := range s.m.DuctSegments(d) {
		sum += s.segmentLoss(int32(x))
	}
	if p := s.m.Sys.Ducts[d].Port; p >= 0 {
		sum += s.segmentLoss(s.m.ports[p])
	}
	return sum
}

func (s *State) segmentLoss(x int32) float64 {
	g := &s.m.seg[x]
	q := s.Q[x]
	f := 0.0
	if g.lod > 0 {
		f, _, _ = frictionFactor(g.re*math.Abs(q), g.rel, s.guess(x))
	}
	return (s.k[x] + s.c.Friction[x]*f*g.lod) * g.vp * q * math.Abs(q)
}

// CollectorFlow is the flow through the fan, m³/s.
func (s *State) CollectorFlow() float64 { return s.Q[s.m.fanSeg] }

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
