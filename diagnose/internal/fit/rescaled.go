package fit

// Rescaled is the evidence of a fit under other factors on spreads and fresh errors.
func (s *Study) Rescaled(f *Fit, kappa, rough float64) (float64, bool) {
	t := s.Under(kappa, rough)
	x := *f
	d := *f.Fit
	d.Chol = s.spare // not the fit's own storage
	d.R = make([]float64, len(f.Fit.R))
	ok := t.factor(&x, &d) && t.weigh(&x, &d)
	s.spare = d.Chol
	return x.Evidence - d.Left, ok
}
