package fit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/kit"
)

// The covariance of two quantities is a quarter of what their sum varies more
// than their difference.
func TestCovarianceOfTwoQuantities(t *testing.T) {
	s, f := kit.FitOf(t)
	some := func(n, k int) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = math.Sin(float64(k + i*(k+1)))
		}
		return out
	}
	n, nz := s.N, len(f.Faults)
	for k := range 5 {
		a, az, b, bz := some(n, k), some(nz, k+3), some(n, k+7), some(nz, k+11)
		plus, minus := make([]float64, n), make([]float64, n)
		for i := range plus {
			plus[i], minus[i] = a[i]+b[i], a[i]-b[i]
		}
		pz, mz := make([]float64, nz), make([]float64, nz)
		for i := range pz {
			pz[i], mz[i] = az[i]+bz[i], az[i]-bz[i]
		}
		want := (s.Variance(f, plus, pz) - s.Variance(f, minus, mz)) / 4
		require.InDelta(t, want, s.CovarianceWith(f, a, az)(b, bz), 1e-9*(1+math.Abs(want)))
	}
}
