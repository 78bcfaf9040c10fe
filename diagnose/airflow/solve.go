package airflow

import (
	"errors"
	"math"
)

// ErrNotConverged is wrapped by the error of a solve that did not reach the
// tolerance; the state then holds the last iterate.
var ErrNotConverged = errors.New("flow did not converge")

const (
	maxIterations = 60
	plodding      = 60
	balance       = 1e-10 // relative residual to stop at; a tenth of what is promised
)

// State is a solution and the workspace of the solver; reuse it, and the next
// solve starts from the last one and allocates nothing.
type State struct {
	m          *Model
	c          *Coefs
	cfg        Config
	Q          []float64 // flow of each segment, m³/s, positive towards the collector
	P          []float64 // static pressure at each segment's upstream node, Pa gauge
	root       []float64 // 1/√f, kept as a first guess
	k, fr      []float64 // total local loss, friction factor × L/D × factor
	dR         []float64 // d(loss)/dq
	hc, hj     []float64 // d(exchange at own node)/dq, d(exchange at the next node)/dq as its leg
	h          []float64 // static pressure lost at the upstream node to exchange
	sA, sB     []float64 // of the elimination: Σa, Σb of the legs
	sH, sG     []float64 // Σ h_j a_j, Σ h_j b_j
	a, b       []float64
	d          []float64 // pivot
	dl         []float64 // d(leak)/dP
	rf, rm     []float64 // residuals of momentum and mass
	sv         []float64 // Σ of the legs' exchange terms
	sq         []float64 // Σ of the legs' flows
	ac         []float64 // share of the acceleration that is paid for (handbook joins)
	Iterations int
	Damped     int     // steps that had to be shortened
	Imbalance  float64 // largest mass residual, relative to the collector's flow
	warm       bool
	kept       []kept
}

// NewState returns a workspace for the model.
func (m *Model) NewState() *State {
	n := len(m.seg)
	buf := make([]float64, 22*n)
	take := func() []float64 { s := buf[:n:n]; buf = buf[n:]; return s }
	return &State{m: m, Q: take(), P: take(), root: take(), k: take(), fr: take(), dR: take(), hc: take(), hj: take(), h: take(),
		sA: take(), sB: take(), sH: take(), sG: take(), a: take(), b: take(), d: take(), dl: take(), rf: take(), rm: take(), sv: take(), sq: take(), ac: take(), kept: make([]kept, n)}
}

// Solve finds the steady flow for the coefficients and configuration. The
// state keeps pointers to both; they must not change before readings and
// sensitivities are taken from it.
func (s *State) Solve(c *Coefs, cfg Config) error {
	s.c, s.cfg = c, cfg
	s.Damped = 0
	s.totals()
	if !s.warm {
		s.start()
	}
	err := s.newton()
	if err != nil && s.warm {
		s.start()
		err = s.newton()
	}
	if err != nil {
		err = s.plod()
	}
	s.warm = err == nil
	return err
}

// plod takes half of each Newton step, whether things get better at once or
// not: slower than newton, and not stopped where a step down is not to be found.
func (s *State) plod() error {
	s.start()
	norm := s.residual()
	for range plodding {
		if norm <= balance {
			return nil
		}
		s.step()
		s.move(0.5)
		norm = s.residual()
	}
	return s.newton()
}

// Cold forgets the last solution, so that the next solve starts afresh.
func (s *State) Cold() { s.warm = false }

// totals adds up each segment's local loss in this configuration.
func (s *State) totals() {
	m := s.m
	copy(s.k, s.c.K)
	for p, x := range m.ports {
		if s.cfg.HoseOff != nil && s.cfg.HoseOff[p] {
			s.k[x] = s.c.Plain[p]
		}
	}
	for i, g := range m.gates {
		if s.cfg.Open[i] {
			s.k[g.seg] += s.c.GateOpen[i]
		} else {
			s.k[g.seg] += ShutLoss(m.seg[g.seg].area, s.c.GateArea[i])
		}
	}
}

// start guesses flows by adding up resistances in series and parallel, leaks
// and the exchange at joins left out; the result is near the solution.
func (s *State) start() {
	m := s.m
	n := len(m.seg)
	g := s.sq // conductance 1/√R of all that comes in at the node
	clear(g)
	clear(s.root)
	clear(s.kept)
	for x := n - 1; x >= 0; x-- {
		sg := &m.seg[x]
		r := sg.vp * (s.k[x] + 0.02*sg.lod*s.c.Friction[x])
		switch {
		case sg.node == portNode:
			r += sg.vp
		case g[x] > 0:
			r += 1 / (g[x] * g[x])
		}
		if int32(x) == m.cycSeg {
			r += m.cycK * s.c.Cyclone
		}
		s.d[x] = 1 / math.Sqrt(max(r, 1e-12))
		if sg.parent >= 0 {
			g[sg.parent] += s.d[x]
		}
	}
	r := 1 / (s.d[0] * s.d[0])
	s.Q[0] = s.startFan(r)
	for x := 1; x < n; x++ {
		p := m.seg[x].parent
		s.Q[x] = s.Q[p] * s.d[x] / g[p]
	}
	clear(s.P)
	for x := n - 1; x >= 1; x-- {
		sg := &m.seg[x]
		s.P[sg.parent] = s.P[x] - (s.k[x]+0.02*sg.lod*s.c.Friction[x])*sg.vp*s.Q[x]*s.Q[x]
		if sg.node == portNode {
			s.P[sg.parent] -= sg.vp * s.Q[x] * s.Q[x]
		}
	}
}

// startFan bisects for the flow at which the fan meets a resistance r·q².
func (s *State) startFan(r float64) float64 {
	lo, hi := 0.0, 2*s.m.fan.last.Flow*max(s.c.Speed, 1e-3)
	for range 40 {
		q := (lo + hi) / 2
		p, _, _ := s.m.fan.at(q, s.c.Speed, s.m.Air.Density)
		if s.c.Pressure*p-s.m.filR*s.c.Filter*q > r*q*q {
			lo = q
		} else {
			hi = q
		}
	}
	return max((lo+hi)/2, 1e-9)
}

// newton iterates to the balance, halving a step that makes things worse.
func (s *State) newton() error {
	norm := s.residual()
	for it := 1; it <= maxIterations; it++ {
		s.Iterations = it
		if norm <= balance {
			return nil
		}
		s.step()
		scale := 1.0
		var next float64
		for try := 0; ; try++ {
			s.move(scale)
			next = s.residual()
			if next <= norm*(1-0.1*scale) || next <= balance || try == 12 {
				break
			}
			s.move(-scale)
			scale /= 2
			s.Damped++
		}
		if !(next < norm) && next > balance {
			// No descent left: rounding, or a point where the curve has no solution.
			if next <= 1e-9 {
				return nil
			}
			norm = next
			if it > 30 {
				break
			}
			continue
		}
		norm = next
	}
	if norm <= 1e-9 {
		return nil
	}
	return s.notConverged(norm)
}

// move takes the step that is kept in a (flow) and b (pressure).
func (s *State) move(scale float64) {
	for x := range s.Q {
		s.Q[x] += scale * s.a[x]
		s.P[x] += scale * s.b[x]
	}
}
