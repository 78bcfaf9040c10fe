package branch_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/plant"
	"lostair/diagnose/trial/survey"
	"lostair/readings/units"
)

// apart is a study of a plant, moved off its page.
func apart(t testing.TB, ports, readings int) (*fit.Study, fit.Point) {
	c, err := trial.CaseOf(7, plant.New(7, ports, units.Metric), trial.Options{Readings: readings, Style: survey.Rich, Kinds: []string{"blockage"},
		Baseline: trial.No, Wrong: trial.No, Join: trial.MomentumLaw, Quick: true})
	require.NoError(t, err)
	m, err := airflow.New(c.System, airflow.Options{})
	require.NoError(t, err)
	s := kit.Untaught(t, m, c.Survey)
	p := s.Before()
	for x := range p.Theta {
		p.Theta[x] = 0.3 * math.Sin(float64(1+x*x))
		s.Pr.Mean[x] = p.Theta[x]
	}
	return s, p
}

// Rows by branches are those that stand in full, and share what those share.
func TestRowsByBranches(t *testing.T) {
	s, p := apart(t, 40, 300)
	m := len(s.Observation)
	require.NoError(t, s.Predict(p, fit.Hypothesis{}, make([]float64, m)))
	full := mat.NewDense(m, s.N, nil)
	s.Jacobian(p, fit.Hypothesis{}, full, nil)
	rows := s.SparseRows()
	require.NotNil(t, rows)
	require.Greater(t, rows.Branches(), 3)
	d := &fit.Detail{Rows: rows}
	for x := range s.N {
		e := make([]float64, s.N)
		e[x] = 1
		for i, v := range d.Times(e) {
			require.InDelta(t, full.At(i, x), v, 1e-6*math.Sqrt(s.BaseNoise(i)), "reading %d, parameter %d", i, x)
		}
	}
	a := mat.NewVecDense(m, nil)
	for i := range m {
		a.SetVec(i, math.Cos(float64(i)))
	}
	d.Alpha = a
	var back mat.VecDense
	back.MulVec(full.T(), a)
	require.InDelta(t, 0, floatsOff(back.RawVector().Data, d.Back(s.N).RawVector().Data), 1e-6)

	s.Share(d)
	got := mat.NewSymDense(m, nil)
	s.Spread(d, got)
	var want mat.SymDense
	want.SymOuterK(s.Pr.Scale, full)
	for i := range m {
		for j := i; j < m; j++ {
			require.InDelta(t, want.At(i, j), got.At(i, j), 3e-3*math.Sqrt(s.BaseNoise(i)*s.BaseNoise(j)), "readings %d and %d", i, j)
		}
	}
}

func floatsOff(a, b []float64) float64 {
	var most float64
	for i := range a {
		most = max(most, math.Abs(a[i]-b[i]))
	}
	return most
}
