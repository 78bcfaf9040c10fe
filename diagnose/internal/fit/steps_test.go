package fit_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/trial"
)

// A plant that lies far off its page, after a baseline: the prior is narrow in
// many directions at once, and full Gauss–Newton steps swing out of it for good.
func TestAFitSettlesAfterABaseline(t *testing.T) {
	c, err := trial.NewCase(30119, trial.Options{Ports: 8, Sound: true, Wrong: trial.No, Baseline: trial.Yes, Quick: true})
	require.NoError(t, err)
	m, err := airflow.New(c.System, airflow.Options{})
	require.NoError(t, err)
	x, bad := observe.Bind(m, c.Survey)
	y, more := observe.Bind(m, c.Baselines[0])
	require.NoError(t, append(bad, more...).Err())
	u := asbuilt.NewUnknowns(m)
	l := fit.NewLayout(u, x, y)
	shared, err := search.Learn(context.Background(), m, u, l, y, fit.Prior{Mean: make([]float64, l.N), Scale: 1})
	require.NoError(t, err)
	s := fit.NewStudy(m, u, l, x, shared)
	f := s.FitFrom(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean}, fit.PatienceFar)
	require.True(t, f.Ok())
	require.Less(t, f.Fit.Left, 1.0, "as good as settled; what is left is taken off its evidence")
	require.True(t, s.FitFrom(fit.Hypothesis{}, f.At, fit.PatienceFar).Settled(), "and it settles from there")
	require.Less(t, f.Fit.Quad, fit.PoorFit*float64(len(s.Observation)))

	// no step along the way out made a point less probable than the start
	at, d, ok := s.Begin(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	require.True(t, ok)
	require.Less(t, fit.OneFit{S: s, F: f, D: f.Fit}.Cost(), fit.OneFit{S: s, F: at, D: d}.Cost())

	r, err := diagnose.Diagnose(context.Background(), c.System, c.Survey, diagnose.Options{Baselines: c.Baselines})
	require.NoError(t, err)
	for _, g := range r.Faults {
		require.Contains(t, []fault.Kind{fault.Undersized, fault.ReadingWrong}, g.Kind, "nothing is wrong there")
	}
}

// A slip changes the number on the sheet, not what the instrument did.
func TestASlipErrsAsTheReadingDid(t *testing.T) {
	c, err := trial.NewCase(41, trial.Options{Ports: 4, Sound: true, Wrong: trial.No, Baseline: trial.No, Quick: true})
	require.NoError(t, err)
	m, err := airflow.New(c.System, airflow.Options{})
	require.NoError(t, err)
	right, bad := observe.Bind(m, c.Survey)
	require.NoError(t, bad.Err())
	v := *c.Survey
	v.Rows, v.Readings = append(v.Rows[:0:0], v.Rows...), append(v.Readings[:0:0], v.Readings...)
	i := 0
	require.Len(t, v.Readings[i].Rows, 1)
	v.Rows[v.Readings[i].Rows[0]].Value *= 10
	v.Readings[i].Value *= 10
	s := kit.Untaught(t, m, &v)
	seen := false
	for _, w := range search.WrongRows(s) {
		if w.Observation != i || !w.Slip() || math.Abs(w.Y/right.Observation[i].Y-1) > 0.02 {
			continue
		}
		seen = true
		require.InEpsilon(t, right.Observation[i].Fresh, w.Fresh, 0.05)
		require.InEpsilon(t, right.Observation[i].Gain, w.Gain, 0.05)
		_, d, ok := s.Begin(fit.Hypothesis{Rows: []*fit.Wrong{w}}, fit.Point{Theta: s.Pr.Mean})
		require.True(t, ok)
		require.InEpsilon(t, w.Y, d.Y[i], 1e-12)
		require.Less(t, d.Noise[i], s.BaseNoise(i)/50, "not the error of a value ten times as large")
		off := fit.Point{Theta: append([]float64(nil), s.Pr.Mean...)}
		off.Theta[s.Observation[i].GainIx] = 1
		h := make([]float64, len(s.Observation))
		require.NoError(t, s.Predict(off, fit.Hypothesis{Rows: []*fit.Wrong{w}}, h))
		require.InDelta(t, d.H[i]+w.Gain, h[i], 1e-9*math.Abs(h[i]), "the instrument's lasting error is that of the right value")
	}
	require.True(t, seen)
}

// Without a baseline the parameters are independent, and the dual is the way
// from the mean itself, whatever the factor on the spread.
func TestTheDualIsTheWayFromTheMean(t *testing.T) {
	c, err := trial.NewCase(43, trial.Options{Ports: 5, Sound: true, Wrong: trial.No, Baseline: trial.No, Quick: true})
	require.NoError(t, err)
	m, err := airflow.New(c.System, airflow.Options{})
	require.NoError(t, err)
	s := kit.Untaught(t, m, c.Survey)
	for _, s.PriorScale = range []float64{1, 2} {
		f := s.FitFrom(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean}, fit.PatienceFar)
		require.True(t, f.Settled())
		for i, v := range f.At.Dual {
			require.InDelta(t, f.At.Theta[i]-s.Pr.Mean[i], v, 1e-6)
		}
		var want float64 // misfit and distance from the mean, each in its own standard deviations
		for i, h := range f.Fit.H {
			r := s.Observation[i].Y - h
			want += r * r / s.BaseNoise(i)
		}
		for i, v := range f.At.Theta {
			want += math.Pow((v-s.Pr.Mean[i])/s.PriorScale, 2)
		}
		require.InEpsilon(t, want/2, fit.OneFit{S: s, F: f, D: f.Fit}.Cost(), 1e-6)
	}
}
