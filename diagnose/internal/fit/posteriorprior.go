package fit

import (
	"fmt"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/numeric"
)

// PriorAfter is what is known of the shared parameters after a fit: its mean, and
// the covariance C − W Wᵀ with W = C Jᵀ L⁻ᵀ, S = L Lᵀ.
func (s *Study) PriorAfter(f *Fit, l Layout, before Prior) (Prior, error) {
	k2 := s.PriorScale * s.PriorScale
	after := Prior{Mean: append([]float64(nil), f.At.Theta[:l.N]...), Scale: k2 * s.Pr.Scale}
	cj := mat.DenseCopyOf(f.Fit.J.T())
	cj.Scale(k2*s.Pr.Scale, cj)
	if s.Pr.V != nil {
		var t, q mat.Dense
		t.Mul(s.Pr.V.T(), f.Fit.J.T())
		q.Mul(s.Pr.V, &t)
		q.Scale(k2, &q)
		cj.Sub(cj, &q)
	}
	var L mat.TriDense
	f.Fit.Chol.LTo(&L)
	var w mat.Dense
	if err := w.Solve(&L, cj.T()); !numeric.Solved(err) {
		return before, fmt.Errorf("%s: %w", s.B.Survey.File, err)
	}
	k, _ := w.Dims()
	old := 0
	if before.V != nil {
		_, old = before.V.Dims()
	}
	after.V = mat.NewDense(l.N, old+k, nil)
	if old > 0 {
		after.V.Slice(0, l.N, 0, old).(*mat.Dense).Scale(s.PriorScale, before.V)
	}
	after.V.Slice(0, l.N, old, old+k).(*mat.Dense).Copy(w.Slice(0, k, 0, l.N).(*mat.Dense).T())
	return after, nil
}
