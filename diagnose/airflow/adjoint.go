package airflow

import "math"

// Gradient is the derivative of one reading by every coefficient, in the
// shapes of Coefs.
type Gradient struct {
	Coefs
	wq, wp, lf, lm, wa []float64 // weights on flows, pressures, momentum, mass, A
}

// NewGradient returns a gradient for reuse.
func (m *Model) NewGradient() *Gradient {
	n := len(m.seg)
	f := func(k int) []float64 { return make([]float64, k) }
	return &Gradient{Coefs: m.NewCoefs(), wq: f(n), wp: f(n), lf: f(n), lm: f(n), wa: f(n)}
}

// Prepare readies a solved state for Sensitivity: derivatives at the solution
// and one elimination. Call it once after Solve.
func (s *State) Prepare() {
	s.residual()
	s.eliminate()
}

// Sensitivity fills g with the exact derivatives of the reading at the solved
// state, by one adjoint sweep there and back. Prepare must have been called.
func (s *State) Sensitivity(r Probe, g *Gradient) {
	clear(g.wq)
	clear(g.wp)
	s.seed(r, g)
	s.adjoint(g)
	s.chain(g)
	s.direct(r, g)
}

// adjoint runs eliminate and substitute in reverse: from weights on flows (wq)
// and pressures (wp) to weights on the residuals of momentum (lf) and mass (lm).
func (s *State) adjoint(g *Gradient) {
	m := s.m
	n := len(m.seg)
	clear(g.lf)
	clear(g.lm)
	clear(g.wa)
	for x := n - 1; x >= 0; x-- {
		sg := &m.seg[x]
		wq := g.wq[x]
		var wn float64
		if sg.node == portNode {
			g.wa[x] = wq
			wn = s.b[x] * wq
		} else {
			wp := g.wp[x] + s.sB[x]*wq
			g.wa[x] = wq // weight on A
			wn = wp / s.d[x]
			g.lf[x] = wn // weight on N
		}
		if sg.parent >= 0 {
			g.wp[sg.parent] += wn
		}
	}
	// From here wa of a segment is the weight on its A; what its parent
	// hands down (on a = A + B·N/D) is added when the parent is reached.
	for x := range n {
		sg := &m.seg[x]
		var down float64
		if p := sg.parent; p >= 0 {
			down = g.lm[p] + s.hj[x]*g.lf[p]
		}
		if sg.node == portNode {
			g.lf[x] = (g.wa[x] + down) / s.dR[x]
			continue
		}
		wn := g.lf[x] + down*s.sB[x]/s.d[x]
		wA := g.wa[x] + down + (s.hc[x]+s.dR[x])*wn
		g.lm[x] = wA
		g.lf[x] = wn
	}
	for x := range n {
		if m.seg[x].node != portNode {
			g.lf[x] = -g.lf[x]
		}
	}
}

// chain goes from weights on residuals to derivatives by coefficients.
func (s *State) chain(g *Gradient) {
	m, c := s.m, s.c
	g.Speed, g.Pressure, g.Cyclone, g.Filter = 0, 0, 0, 0
	clear(g.Plain)
	for x := range m.seg {
		sg := &m.seg[x]
		q := s.Q[x]
		v := sg.vp * q * math.Abs(q)
		g.K[x] = -g.lf[x] * v
		g.Friction[x], g.Bring[x] = 0, 0
		if p := sg.parent; p >= 0 && m.seg[p].node == joinNode && m.join == Momentum {
			g.Bring[x] = g.lf[p] * sg.leg * sg.vp * q * q
		}
		if sg.lod > 0 {
			g.Friction[x] = -g.lf[x] * s.fr[x] * v
		}
		if sg.node == portNode {
			g.Leak[x], g.Seep[x] = 0, 0
			if s.cfg.HoseOff != nil && s.cfg.HoseOff[sg.port] {
				g.Plain[sg.port], g.K[x] = g.K[x], 0
			}
			continue
		}
		_, _, a, b := m.leakFlow(s.P[x], c.Leak[x], c.Seep[x])
		g.Leak[x], g.Seep[x] = g.lm[x]*a, g.lm[x]*b
	}
	for i, r := range m.gates {
		sg := &m.seg[r.seg]
		q := s.Q[r.seg]
		d := -g.lf[r.seg] * sg.vp * q * math.Abs(q)
		g.GateOpen[i], g.GateArea[i] = d, 0
		if !s.cfg.Open[i] {
			g.GateOpen[i] = 0
			a := max(c.GateArea[i], 1e-9)
			g.GateArea[i] = -2 * d * ShutLoss(sg.area, a) / a
		}
	}
	s.chainCollector(g)
}

func (s *State) chainCollector(g *Gradient) {
	m, c := s.m, s.c
	if x := m.cycSeg; x >= 0 {
		g.Cyclone = -g.lf[x] * m.cycK * s.Q[x] * math.Abs(s.Q[x])
	}
	if x := m.filSeg; x >= 0 {
		g.Filter = -g.lf[x] * m.filR * s.Q[x]
	}
	p, _, ds := m.fan.at(s.Q[m.fanSeg], c.Speed, m.Air.Density)
	g.Pressure = g.lf[m.fanSeg] * p
	g.Speed = g.lf[m.fanSeg] * c.Pressure * ds
}
