package search_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
)

// A study with fewer parameters shows at its means what the whole one does:
// what is left out stays at its mean.
func TestWhatIsLeftOutStaysAtItsMean(t *testing.T) {
	_, s := kit.TrialStudy(t, 406)
	for x := range s.Own {
		s.Pr.Mean[x] = 0.15 * math.Sin(float64(1+x*x))
	}
	whole := make([]float64, len(s.Observation))
	require.NoError(t, s.Predict(fit.Point{Theta: s.Pr.Mean}, fit.Hypothesis{}, whole))
	use := s.Uses(nil, nil)
	left := 0
	for x := range s.Own {
		use[x] = use[x] || x%3 == 0
		if !use[x] {
			left++
		}
	}
	n := s.N
	s.Reduce(use)
	require.Equal(t, n-left, s.N)
	got := make([]float64, len(s.Observation))
	require.NoError(t, s.Predict(fit.Point{Theta: s.Pr.Mean}, fit.Hypothesis{}, got))
	for i := range whole {
		require.InDelta(t, whole[i], got[i], 1e-3*math.Sqrt(s.BaseNoise(i)), "reading %d", i)
	}
}
