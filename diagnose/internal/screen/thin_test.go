package screen_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/screen"
)

// The residual is that about the prior mean, wherever it is worked out: as far
// as the model is linear it doesn't change.
func TestResidualIsAboutThePriorMean(t *testing.T) {
	_, s := kit.TrialStudy(t, 406)
	w := screen.Whiten(s, s.SparseRows())
	require.NotNil(t, w)
	far := append([]float64(nil), w.At.Theta...)
	at := func(share float64) *mat.VecDense {
		for x := range far {
			w.At.Theta[x] = s.Pr.Mean[x] + share*(far[x]-s.Pr.Mean[x])
		}
		require.True(t, w.Residual())
		return mat.VecDenseCopyOf(w.R)
	}
	mean, near := at(0), at(0.02)
	w.D.Rows = s.SparseRows()
	h, g := make([]float64, len(s.Observation)), make([]float64, len(s.Observation))
	require.NoError(t, s.Predict(fit.Point{Theta: s.Pr.Mean}, fit.Hypothesis{}, h))
	require.NoError(t, s.Predict(w.At, fit.Hypothesis{}, g))
	var moved, changed float64
	for i := range h {
		require.InDelta(t, s.Observation[i].Y-h[i], mean.AtVec(i), 1e-6)
		moved += math.Abs(g[i]-h[i]) / math.Sqrt(s.BaseNoise(i))
		changed += math.Abs(near.AtVec(i)-mean.AtVec(i)) / math.Sqrt(s.BaseNoise(i))
	}
	require.Greater(t, moved, 0.01*float64(len(h)), "the readings move")
	require.Less(t, changed, moved/4, "and what is left of them hardly")
}

// What is read at the collector is kept, since it bears on everything; and what
// the likeliest addition explains is taken away before the next is looked for.
func TestTelling(t *testing.T) {
	s, ss := kit.LargeStudy(t)
	w := screen.Whiten(s, s.SparseRows())
	require.NotNil(t, w)
	keep := w.Telling(ss)
	require.Len(t, keep, fit.ThinAbove)
	in := map[int]bool{}
	for _, i := range keep {
		in[i] = true
	}
	central := 0
	for i := range s.Observation {
		if s.DuctOf(i) < 0 {
			central++
			require.True(t, in[i], "reading %d", i)
		}
	}
	require.Greater(t, central, 10)

	m := len(s.Observation)
	effect := mat.NewDense(m, 1, nil)
	effect.Set(m/2, 0, 10*math.Sqrt(s.BaseNoise(m/2))) // an addition that is all that is left
	w.R = mat.VecDenseCopyOf(effect.ColView(0))
	alpha, g := mat.NewVecDense(m, nil), mat.NewVecDense(1, nil)
	require.NoError(t, w.Chol.SolveVecTo(alpha, w.R))
	g.MulVec(effect.T(), alpha)
	require.Greater(t, g.AtVec(0), 20.0)
	require.True(t, w.Round(effect, g, []float64{0}, make([]bool, m)))
	require.NoError(t, w.Chol.SolveVecTo(alpha, w.R))
	left := mat.NewVecDense(1, nil)
	left.MulVec(effect.T(), alpha)
	require.InDelta(t, 0, left.AtVec(0)/g.AtVec(0), 1e-6)
}
