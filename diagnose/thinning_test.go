package diagnose

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/trial"
	"lostair/readings/units"
)

// largeStudy is a study of a survey that is thinned, and what it is of.
func largeStudy(t *testing.T) (*study, []*site) {
	c, err := trial.CaseOf(7, trial.Plant(7, 40, units.Metric), trial.Options{Readings: 300, Style: trial.Rich, Kinds: []string{"blockage"},
		Baseline: trial.No, Wrong: trial.No, Join: trial.MomentumLaw, Quick: true})
	require.NoError(t, err)
	m, err := airflow.New(c.System, airflow.Options{})
	require.NoError(t, err)
	s := untaught(t, m, c.Survey)
	require.Greater(t, len(s.obs), thinAbove)
	return s, sites(m)
}

// A study with fewer parameters shows at its means what the whole one does:
// what is left out stays at its mean.
func TestWhatIsLeftOutStaysAtItsMean(t *testing.T) {
	_, s := trialStudy(t, 406)
	for x := range s.own {
		s.pr.mean[x] = 0.15 * math.Sin(float64(1+x*x))
	}
	whole := make([]float64, len(s.obs))
	require.NoError(t, s.predict(point{theta: s.pr.mean}, hypothesis{}, whole))
	use := s.uses(nil, nil)
	left := 0
	for x := range s.own {
		use[x] = use[x] || x%3 == 0
		if !use[x] {
			left++
		}
	}
	n := s.n
	s.reduce(use)
	require.Equal(t, n-left, s.n)
	got := make([]float64, len(s.obs))
	require.NoError(t, s.predict(point{theta: s.pr.mean}, hypothesis{}, got))
	for i := range whole {
		require.InDelta(t, whole[i], got[i], 1e-3*math.Sqrt(s.baseNoise(i)), "reading %d", i)
	}
}

// The residual is that about the prior mean, wherever it is worked out: as far
// as the model is linear it doesn't change.
func TestResidualIsAboutThePriorMean(t *testing.T) {
	_, s := trialStudy(t, 406)
	w := s.whiten(s.sparseRows())
	require.NotNil(t, w)
	far := append([]float64(nil), w.at.theta...)
	at := func(share float64) *mat.VecDense {
		for x := range far {
			w.at.theta[x] = s.pr.mean[x] + share*(far[x]-s.pr.mean[x])
		}
		require.True(t, w.residual())
		return mat.VecDenseCopyOf(w.r)
	}
	mean, near := at(0), at(0.02)
	w.d.rows = s.sparseRows()
	h, g := make([]float64, len(s.obs)), make([]float64, len(s.obs))
	require.NoError(t, s.predict(point{theta: s.pr.mean}, hypothesis{}, h))
	require.NoError(t, s.predict(w.at, hypothesis{}, g))
	var moved, changed float64
	for i := range h {
		require.InDelta(t, s.obs[i].y-h[i], mean.AtVec(i), 1e-6)
		moved += math.Abs(g[i]-h[i]) / math.Sqrt(s.baseNoise(i))
		changed += math.Abs(near.AtVec(i)-mean.AtVec(i)) / math.Sqrt(s.baseNoise(i))
	}
	require.Greater(t, moved, 0.01*float64(len(h)), "the readings move")
	require.Less(t, changed, moved/4, "and what is left of them hardly")
}

// What is read at the collector is kept, since it bears on everything; and what
// the likeliest addition explains is taken away before the next is looked for.
func TestTelling(t *testing.T) {
	s, ss := largeStudy(t)
	w := s.whiten(s.sparseRows())
	require.NotNil(t, w)
	keep := w.telling(ss)
	require.Len(t, keep, thinAbove)
	in := map[int]bool{}
	for _, i := range keep {
		in[i] = true
	}
	central := 0
	for i := range s.obs {
		if s.ductOf(i) < 0 {
			central++
			require.True(t, in[i], "reading %d", i)
		}
	}
	require.Greater(t, central, 10)

	m := len(s.obs)
	effect := mat.NewDense(m, 1, nil)
	effect.Set(m/2, 0, 10*math.Sqrt(s.baseNoise(m/2))) // an addition that is all that is left
	w.r = mat.VecDenseCopyOf(effect.ColView(0))
	alpha, g := mat.NewVecDense(m, nil), mat.NewVecDense(1, nil)
	require.NoError(t, w.chol.SolveVecTo(alpha, w.r))
	g.MulVec(effect.T(), alpha)
	require.Greater(t, g.AtVec(0), 20.0)
	require.True(t, w.round(effect, g, []float64{0}, make([]bool, m)))
	require.NoError(t, w.chol.SolveVecTo(alpha, w.r))
	left := mat.NewVecDense(1, nil)
	left.MulVec(effect.T(), alpha)
	require.InDelta(t, 0, left.AtVec(0)/g.AtVec(0), 1e-6)
}
