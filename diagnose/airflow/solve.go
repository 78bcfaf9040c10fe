package airflow

import (
	"slices"

	"lostair/diagnose/duct"
	"lostair/diagnose/handbook"
)

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
			s.k[g.seg] += handbook.ShutLoss(m.seg[g.seg].area, s.c.GateArea[i])
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

// FlowOf is a port's flow by the page of a system; 0 if it can't be solved.
func FlowOf(sys *duct.System, port int, cfg Config) float64 {
	m, err := New(sys, Options{})
	if err != nil {
		return 0
	}
	c := m.Coefs()
	st := m.NewState()
	if st.Solve(&c, cfg) != nil {
		return 0
	}
	return st.PortFlow(port)
}
