package fit

// Fit finds the most probable parameters under a hypothesis by Gauss–Newton,
// relinearising at each step, and the evidence by the linearised marginal:
// with y ≈ h + J(θ−θ₀) + Jz(z−z₀), the readings are normal about the prior mean
// with covariance S = R + J C Jᵀ + Jz Z Jzᵀ.
//
// A fit that does not settle from the given start, or fits badly, is tried
// again from the prior mean; the better one stands.
func (s *Study) Fit(h Hypothesis, start Point, how ...Settings) *Fit {
	f := s.FitFrom(h, start, patience, how...)
	if f.GivenUp() {
		return f // what does not fit there is not worth the time
	}
	if s.Lost != nil && f.Ok() {
		if !s.Large() {
			s.unstick(f, those(how))
		}
		return f
	}
	was := s.ending(f)
	if was.stands() {
		return f
	}
	if again := s.Afresh(h, how...); was.outdoneBy(s.ending(again)) {
		return again
	}
	return f
}

// Afresh fits from the prior mean.
func (s *Study) Afresh(h Hypothesis, how ...Settings) *Fit {
	return s.FitFrom(h, s.Before(), PatienceFar, how...)
}

// Linearised is a hypothesis at a given point, not fitted.
func (s *Study) Linearised(h Hypothesis, at Point) *Fit {
	f, d, ok := s.Begin(h, at)
	if !ok {
		return f
	}
	s.linearise(f, d)
	if s.factor(f, d) && s.weigh(f, d) {
		f.Status = Short
	}
	f.Fit = d
	return f
}

// Straight is a hypothesis fitted in one step, on the straight line from a point: the
// model is linearised there and not solved again.
func (s *Study) Straight(h Hypothesis, from Point) *Fit {
	f := s.Linearised(h, from)
	if f.Ok() {
		f.At = s.target(f, f.Fit)
	}
	return f
}
