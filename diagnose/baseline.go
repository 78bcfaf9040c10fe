package diagnose

import (
	"context"
	"fmt"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
)

// learnAll is what sound surveys, one after the other, teach of the shared
// parameters.
func learnAll(ctx context.Context, m *airflow.Model, u *unknowns, l layout, bases []*bound) (prior, error) {
	shared := prior{mean: make([]float64, l.n), scale: 1}
	for _, b := range bases {
		var err error
		if shared, err = learn(ctx, m, u, l, b, shared); err != nil {
			return prior{}, err
		}
	}
	return shared, nil
}

// lesson is a sound survey searched for wrong rows.
type lesson struct {
	s *study
	g *search
}

// learn updates the shared as-built parameters with a sound survey: a search
// for wrong rows only, then the posterior of the best fit, mean and covariance.
func learn(ctx context.Context, m *airflow.Model, u *unknowns, l layout, b *bound, before prior) (prior, error) {
	after, _, err := learnFrom(ctx, m, u, l, b, before)
	return after, err
}

// learnFrom also gives the search; nil if there is no reading.
func learnFrom(ctx context.Context, m *airflow.Model, u *unknowns, l layout, b *bound, before prior) (prior, *lesson, error) {
	b, _ = thinned(m, u, l, b, before, nil)
	s := newStudy(m, u, l, b, before)
	if len(s.obs) == 0 {
		return before, nil, nil
	}
	g, err := s.searchAll(ctx, nil, nil, nil)
	if err != nil {
		return before, nil, fmt.Errorf("%s: the model could not be solved: %w", b.survey.File, err)
	}
	after, err := s.taught(g.all[0], l, before)
	return after, &lesson{s, g}, err
}

// taught is what is known of the shared parameters after a fit: its mean, and
// the covariance C − W Wᵀ with W = C Jᵀ L⁻ᵀ, S = L Lᵀ.
func (s *study) taught(f *fitted, l layout, before prior) (prior, error) {
	k2 := s.kappa * s.kappa
	after := prior{mean: append([]float64(nil), f.at.theta[:l.n]...), scale: k2 * s.pr.scale}
	cj := mat.DenseCopyOf(f.fit.j.T())
	cj.Scale(k2*s.pr.scale, cj)
	if s.pr.v != nil {
		var t, q mat.Dense
		t.Mul(s.pr.v.T(), f.fit.j.T())
		q.Mul(s.pr.v, &t)
		q.Scale(k2, &q)
		cj.Sub(cj, &q)
	}
	var L mat.TriDense
	f.fit.chol.LTo(&L)
	var w mat.Dense
	if err := w.Solve(&L, cj.T()); !solved(err) {
		return before, fmt.Errorf("%s: %w", s.b.survey.File, err)
	}
	k, _ := w.Dims()
	old := 0
	if before.v != nil {
		_, old = before.v.Dims()
	}
	after.v = mat.NewDense(l.n, old+k, nil)
	if old > 0 {
		after.v.Slice(0, l.n, 0, old).(*mat.Dense).Scale(s.kappa, before.v)
	}
	after.v.Slice(0, l.n, old, old+k).(*mat.Dense).Copy(w.Slice(0, k, 0, l.n).(*mat.Dense).T())
	return after, nil
}
