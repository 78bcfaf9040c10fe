package airflow

import (
	"math"

	"lostair/readings/units"
)

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
