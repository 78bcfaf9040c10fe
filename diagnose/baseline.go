package diagnose

import (
	"context"
	"fmt"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
)

// learn updates the shared as-built parameters with a sound survey: a search
// for wrong rows only, then the posterior of the best fit, mean and covariance.
func learn(ctx context.Context, m *airflow.Model, u *unknowns, l layout, b *bound, before prior) (prior, error) {
	s := newStudy(m, u, l, b, before)
	if len(s.obs) == 0 {
		return before, nil
	}
	g := newSearch(s, nil, s.wrongRows())
	if err := g.run(ctx, nil); err != nil {
		return before, fmt.Errorf("%s: the model could not be solved: %w", b.survey.File, err)
	}
	f := g.all[0]
	after := prior{mean: append([]float64(nil), f.at.theta[:l.n]...)}
	// posterior covariance I − V Vᵀ − W Wᵀ with W = C Jᵀ L⁻ᵀ, S = L Lᵀ
	cj := mat.DenseCopyOf(f.fit.j.T())
	if s.pr.v != nil {
		var t, q mat.Dense
		t.Mul(s.pr.v.T(), cj)
		q.Mul(s.pr.v, &t)
		cj.Sub(cj, &q)
	}
	var L mat.TriDense
	f.fit.chol.LTo(&L)
	var w mat.Dense
	if err := w.Solve(&L, cj.T()); !solved(err) {
		return before, fmt.Errorf("%s: %w", b.survey.File, err)
	}
	k, _ := w.Dims()
	old := 0
	if before.v != nil {
		_, old = before.v.Dims()
	}
	after.v = mat.NewDense(l.n, old+k, nil)
	if old > 0 {
		after.v.Slice(0, l.n, 0, old).(*mat.Dense).Copy(before.v)
	}
	after.v.Slice(0, l.n, old, old+k).(*mat.Dense).Copy(w.Slice(0, k, 0, l.n).(*mat.Dense).T())
	return after, nil
}
