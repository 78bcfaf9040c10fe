package airflow

import (
	"errors"
	"slices"
)

// ErrNotConverged is wrapped by the error of a solve that did not reach the
// tolerance; the state then holds the last iterate.
var ErrNotConverged = errors.New("flow did not converge")

const (
	maxIterations = 60
	farSteps      = 2
	plodding      = 60
	promised      = 1e-9    // relative residual of every solution
	balance       = 1e-10   // relative residual to stop at
	closeBy       = 1e-6    // relative residual from which one step more does, when Unchecked
	roughly       = 1e-3    // the same when Roughly
	halvings      = 12      // of a step that makes things worse
	enough        = 120     // sweeps up of Newton's method: it has mostly found a solution by then, or will not
	briefly       = 60      // the same when Brief
	stages        = 8       // of a continuation
	shortest      = 1. / 64 // stage of a continuation before it is given up
)

// State is a solution and the workspace of the solver; reuse it, and the next
// solve starts from the last one and allocates nothing.
type State struct {
	m   *Model
	c   *Coefs
	cfg Config
	Q   []float64 // flow of each segment, m³/s, positive towards the collector
	P   []float64 // static pressure at each segment's upstream node, Pa gauge

	k    []float64 // total local loss
	kept []kept
	row  []row
	move []pair // the step last taken
	legs []sums // by depth: of what flows into the node being looked at
	drop []pair // by depth: step and pressure of the nodes on the way
	open []bool // gates of the last solution
	back []back // slopes at the solution, made by Prepare

	dCol      [2]float64 // of the collector's halves: slope of the loss by flow
	exchanged float64    // share of the exchange at joins that is in the equations; 1 but in a continuation

	Iterations int
	Damped     int     // steps that had to be shortened
	Continued  int     // stages of a continuation that had to be gone through
	Brief      bool    // set by the caller: give up where Newton's method does not find a solution soon, whether or not there is one
	Unchecked  bool    // set by the caller: leave out the last sweep, which only finds the balance; some 1e-8 of it may be left
	Roughly    bool    // set by the caller: be content with some 1e-5 of the balance
	Imbalance  float64 // largest mass residual that a sweep found last, relative to the collector's flow
	warm       bool
}

// kept is what a segment's last friction and leakage were worked out at.
type kept struct {
	root          float64 // 1/√f, a first guess
	re, f, f1, f2 float64 // Reynolds number, factor, its derivatives by ln Re
	r, w          float64 // p²+ε² and the power of it
}

// row is a segment's row of the eliminated linear system:
// δP = n + e·δP_next, δq = a + b·δP (of a port: a + b·δP_next).
type row struct{ n, e, a, b float64 }

type pair struct{ q, p float64 }

// sums are those over the legs of a node: flow, exchange, Σa, Σb, Σ h_j a_j, Σ h_j b_j.
type sums struct{ q, v, a, b, ha, hb float64 }

// back is what the adjoint sweep needs of a segment.
type back struct {
	b, d, r, h       float64 // B, 1/D, hc+dR, slope of the exchange at the next node; of a port d is −1/r
	f                float64 // friction factor × L/D
	perArea, perSeep float64 // leak at the node by area and by seepage
	factor           float64 // on the legs' h (handbook joins)
	rf, rm           float64 // residuals
}

// NewState returns a workspace for the model.
func (m *Model) NewState() *State {
	n, d := len(m.link), m.deepest+2
	buf := make([]float64, 3*n)
	return &State{m: m, Q: buf[:n:n], P: buf[n : 2*n : 2*n], k: buf[2*n:],
		kept: make([]kept, n), row: make([]row, n), move: make([]pair, n),
		legs: make([]sums, d), drop: make([]pair, d), open: make([]bool, len(m.gates)), exchanged: 1}
}

// Solve finds the steady flow for the coefficients and configuration. The
// state keeps pointers to both; they must not change before readings and
// sensitivities are taken from it. What is near the last solution is found from
// there, all else from a guess that adds resistances in series and parallel. If
// Newton's method fails from both, half steps are taken regardless (Damped
// counts them), and last the exchange of velocity pressure at the joins is
// brought in by degrees (Continued counts the stages).
func (s *State) Solve(c *Coefs, cfg Config) error {
	s.c, s.cfg = c, cfg
	s.Damped, s.Continued = 0, 0
	s.totals()
	var err error
	switch warm := s.warm && slices.Equal(s.open, cfg.Open); {
	case s.Brief && warm:
		err = s.newton(briefly)
	case warm && s.newton(enough) == nil:
	default:
		err = s.solveCold()
	}
	s.warm = err == nil
	return err
}

// solveCold solves whatever stood before.
func (s *State) solveCold() error {
	copy(s.open, s.cfg.Open)
	s.start()
	if s.Brief {
		return s.newton(briefly)
	}
	err := s.newton(enough)
	if err != nil {
		err = s.plod()
	}
	if err != nil {
		err = s.continuation(err)
	}
	return err
}

// StartFrom makes the next solve start from another state's solution, of a
// model that differs little; afresh if that has other segments.
func (s *State) StartFrom(o *State) {
	s.warm = o.warm && len(s.Q) == len(o.Q) && len(s.open) == len(o.open)
	if !s.warm {
		return
	}
	copy(s.Q, o.Q)
	copy(s.P, o.P)
	copy(s.open, o.open)
	for x := range s.kept {
		s.kept[x] = kept{root: o.kept[x].root}
	}
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

// newton iterates to the balance, halving a step that makes things worse, and
// gives up after so many sweeps up. Each iteration is one sweep down and one up;
// the last sweep up finds the balance.
func (s *State) newton(most int) error {
	norm := s.up(nil)
	for it := 1; it <= maxIterations && most > 0; it++ {
		s.Iterations = it
		if norm <= balance {
			return nil
		}
		s.down(it <= farSteps)
		if s.Unchecked && norm < closeBy || s.Roughly && norm < roughly {
			return nil
		}
		scale := 1.0
		next := s.up(nil)
		try := 0
		for ; try < halvings && !(next <= norm*(1-0.1*scale) || next <= balance); try++ {
			scale /= 2
			s.shift(-scale)
			s.Damped++
			next = s.up(nil)
		}
		most -= 1 + try
		if !(next < norm) && next > balance {
			// No descent left: rounding, or a point where the curve has no solution.
			if next <= promised {
				return nil
			}
			if it > 30 {
				return s.notConverged(next)
			}
		}
		norm = next
	}
	if norm <= promised {
		return nil
	}
	return s.notConverged(norm)
}

// plod takes half of each Newton step, whether things get better at once or
// not: slower than newton, and not stopped where a step down is not to be found.
func (s *State) plod() error {
	s.start()
	norm := s.up(nil)
	for range plodding {
		if norm <= balance {
			return nil
		}
		s.down(false)
		s.shift(-0.5)
		s.Damped++
		norm = s.up(nil)
	}
	return s.newton(maxIterations * halvings)
}

// shift goes along the last step by a share of it.
func (s *State) shift(scale float64) {
	for x, d := range s.move {
		s.Q[x] += scale * d.q
		s.P[x] += scale * d.p
	}
}

// continuation solves without the exchange at joins, which always has a
// solution that Newton finds, and follows it as the exchange is brought in.
func (s *State) continuation(failed error) error {
	defer func() { s.exchanged = 1 }()
	s.exchanged = 0
	s.start()
	if s.newton(enough) != nil {
		return failed
	}
	q, p := slices.Clone(s.Q), slices.Clone(s.P)
	for at, step := 0.0, 1.0/stages; at < 1; {
		s.exchanged = min(at+step, 1)
		s.Continued++
		if err := s.newton(enough); err != nil {
			copy(s.Q, q)
			copy(s.P, p)
			if step /= 2; step < shortest {
				return s.noSolution(at, err)
			}
			continue
		}
		at = s.exchanged
		copy(q, s.Q)
		copy(p, s.P)
	}
	return nil
}

// guess is a first guess of 1/√f.
func (s *State) guess(x int32) float64 { return s.kept[x].root }
