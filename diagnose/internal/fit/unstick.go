package fit

const (
	PolishWindow = 10.0 // nats below the best within which an explanation is fitted exactly
	PolishMost   = 32   // and how many are
	StuckBy      = 1.0  // nats that a fit was promised and did not reach
)

// Polished fits an explanation on from where it stands, every derivative worked
// out anew, and returns what its evidence gained by that.
func (s *Study) Polished(f *Fit) float64 { return s.refitted(f, f.At) }

// unstick does so with what stopped far short of what was promised and would
// come near the best with it, and fits it from the prior mean if that is no help.
func (s *Study) unstick(f *Fit, how Settings) {
	stuck := func() bool {
		return f.Fit.Left > StuckBy && f.Evidence+f.Fit.Left > how.floor()+Hopeless-PolishWindow
	}
	if stuck() {
		s.Polished(f)
	}
	if stuck() {
		was := *f
		if s.refitted(f, s.Before()) < 0 {
			*f = was
		}
	}
}

// refitted fits an explanation exactly from a point, takes what comes of it, and
// returns what its evidence gained.
func (s *Study) refitted(f *Fit, from Point) float64 {
	how := Settings{exact: true}
	if s.Large() && !f.IsLight() {
		how.Near = f.Fit // its factor is near enough to solve with
	}
	x := s.FitFrom(f.Hypothesis, from, PatienceFar, how)
	if !x.Ok() {
		return 0
	}
	was := f.Evidence
	f.At, f.Fit, f.Evidence, f.Status = x.At, x.Fit, x.Evidence, x.Status
	return f.Evidence - was
}
