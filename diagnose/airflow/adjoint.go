package airflow

import (
	"math"

	"lostair/diagnose/handbook"
)

// Prepare readies a solved state for Sensitivity: derivatives at the solution
// and one elimination. Call it once after Solve.
func (s *State) Prepare() {
	if s.back == nil {
		s.back = make([]back, len(s.m.link))
	}
	s.up(s.back)
	for x := range s.back {
		if p := s.m.link[x].parent; p >= 0 {
			s.back[x].h *= s.back[p].factor
		}
	}
}

// Sensitivity fills g with the exact derivatives of the reading at the solved
// state, by one adjoint sweep there and back. Prepare must have been called.
func (s *State) Sensitivity(r Probe, g *Gradient) {
	s.seed(r, g)
	s.climb(r, g)
	s.chain(r, g)
	s.direct(r, g)
}

// climb runs the elimination's way back in reverse, from weights on flows (wq)
// and pressures (wp) to weights on each segment's N (lf). They differ from zero
// only on the way from the reading to the collector.
func (s *State) climb(r Probe, g *Gradient) {
	clear(g.lf)
	for x := r.up; x >= 0; {
		b := &s.back[x]
		var wn float64
		if s.m.link[x].node == portNode {
			wn = b.b * g.wq[x]
		} else {
			wn = (g.wp[x] + b.b*g.wq[x]) * b.d
			g.lf[x] = wn
		}
		if x = s.m.link[x].parent; x >= 0 {
			g.wp[x] += wn
		}
	}
}

// chain runs the elimination in reverse, to weights on the residuals of
// momentum (lf, apart from its sign) and mass (lm), and goes on to derivatives by coefficients.
func (s *State) chain(r Probe, g *Gradient) {
	m := s.m
	g.Bend, g.MostAir, g.Shape, g.Turns, g.MotorFull, g.MotorIdle, g.MotorAmps = 0, 0, 0, 0, 0, 0, 0
	g.Speed, g.Pressure, g.Cyclone, g.Filter, g.Bin = 0, 0, 0, 0, 0
	clear(g.Plain)
	momentum := m.join == Momentum
	for x := range m.link {
		l, b := &m.link[x], &s.back[x]
		var down, lp float64
		if p := l.parent; p >= 0 {
			lp = g.lf[p]
			down = g.lm[p] + b.h*lp
		}
		down += g.wq[x]
		q := s.Q[x]
		v := l.vp * q * math.Abs(q)
		g.Bring[x] = 0
		if l.next == joinNode && momentum {
			g.Bring[x] = -lp * l.leg * q * q
		}
		if l.node == portNode {
			lf := down * b.d
			g.lm[x] = 0
			g.K[x], g.Friction[x], g.Leak[x], g.Seep[x] = lf*v, lf*b.f*v, 0, 0
			continue
		}
		lf := g.lf[x] + (down-g.wq[x])*b.b*b.d
		lm := down + b.r*lf
		g.lf[x], g.lm[x] = lf, lm
		g.K[x], g.Friction[x] = lf*v, lf*b.f*v
		g.Leak[x], g.Seep[x] = lm*b.perArea, lm*b.perSeep
	}
	for x := r.up; x >= 0; x = m.link[x].parent {
		g.wq[x], g.wp[x] = 0, 0
	}
	s.chainPorts(g)
	s.chainGates(g)
	s.chainCollector(g)
}

// chainPorts: an unhooked machine's hood gives way to the plain end.
func (s *State) chainPorts(g *Gradient) {
	for p, off := range s.cfg.HoseOff {
		if off {
			x := s.m.ports[p]
			g.Plain[p], g.K[x] = g.K[x], 0
		}
	}
}

func (s *State) chainGates(g *Gradient) {
	c := s.c
	for i, r := range s.m.gates {
		// the segment's total loss, hood on or off
		d := g.K[r.seg]
		if p := s.m.seg[r.seg].port; p >= 0 {
			d += g.Plain[p]
		}
		g.GateOpen[i], g.GateArea[i] = d, 0
		if !s.cfg.Open[i] {
			g.GateOpen[i] = 0
			a := max(c.GateArea[i], 1e-9)
			g.GateArea[i] = -2 * d * handbook.ShutLoss(s.m.seg[r.seg].area, a) / a
		}
	}
}

func (s *State) chainCollector(g *Gradient) {
	m, c := s.m, s.c
	if x := m.cycSeg; x >= 0 {
		g.Cyclone = g.lf[x] * m.cycK * s.Q[x] * math.Abs(s.Q[x])
	}
	if x := m.filSeg; x >= 0 {
		g.Filter = g.lf[x] * m.filR * s.Q[x]
	}
	f, w := m.fan.At(s.Q[m.fanSeg], m.Air.Density, c.fan()), -g.lf[m.fanSeg]
	g.Pressure = w * f.P
	g.Speed = w * c.Pressure * f.BySpeed
	g.MostAir = w * c.Pressure * f.ByMostAir
	g.Shape = w * c.Pressure * f.ByShape
	g.Bend = w * c.Pressure * f.ByBend
}
