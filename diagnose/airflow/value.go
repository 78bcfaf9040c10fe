package airflow

import (
	"math"

	"lostair/diagnose/handbook"
	"lostair/readings/units"
)

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
	f, df, _ := handbook.FrictionFactor(sg.re*math.Abs(q), sg.rel, s.guess(r.down))
	c, byF := handbook.CentreSlopes(f)
	dc := byF * df * sg.re
	if r.place == atPort {
		c, dc = handbook.CentreAtMouth(c, dc)
	}
	return v * c, dv*c + math.Abs(v)*dc
}

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

// VelocityPressure is the mean velocity pressure at the probe, Pa.
func (s *State) VelocityPressure(r Probe) float64 {
	v := s.flow(r) / r.bore
	return s.m.Air.Density / 2 * v * v
}

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
		f, _, _ = handbook.FrictionFactor(g.re*math.Abs(q), g.rel, s.guess(x))
	}
	return (s.k[x] + s.c.Friction[x]*f*g.lod) * g.vp * q * math.Abs(q)
}
