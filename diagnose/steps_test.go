package diagnose

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/trial"
)

// A plant that lies far off its page, after a baseline: the prior is narrow in
// many directions at once, and full Gauss–Newton steps swing out of it for good.
func TestAFitSettlesAfterABaseline(t *testing.T) {
	c, err := trial.NewCase(30119, trial.Options{Ports: 8, Sound: true, Wrong: trial.No, Baseline: trial.Yes, Quick: true})
	require.NoError(t, err)
	m, err := airflow.New(c.System, airflow.Options{})
	require.NoError(t, err)
	x, bad := bind(m, c.Survey)
	y, more := bind(m, c.Baselines[0])
	require.NoError(t, append(bad, more...).Err())
	u := newUnknowns(m)
	l := newLayout(u, x, y)
	shared, err := learn(context.Background(), m, u, l, y, prior{mean: make([]float64, l.n), scale: 1})
	require.NoError(t, err)
	s := newStudy(m, u, l, x, shared)
	f := s.fitFrom(hypothesis{}, point{theta: s.pr.mean}, patienceFar)
	require.True(t, f.ok)
	require.Less(t, f.fit.left, 1.0, "as good as settled; what is left is taken off its evidence")
	require.True(t, s.fitFrom(hypothesis{}, f.at, patienceFar).settled, "and it settles from there")
	require.Less(t, f.fit.quad, poorFit*float64(len(s.obs)))

	// no step along the way out made a point less probable than the start
	at, d, ok := s.begin(hypothesis{}, point{theta: s.pr.mean})
	require.True(t, ok)
	require.Less(t, oneFit{s, f, f.fit}.cost(), oneFit{s, at, d}.cost())

	r, err := Diagnose(context.Background(), c.System, c.Survey, Options{Baselines: c.Baselines})
	require.NoError(t, err)
	for _, g := range r.Faults {
		require.Contains(t, []Kind{Undersized, ReadingWrong}, g.Kind, "nothing is wrong there")
	}
}

// The bounds of a part are reached smoothly: the slope said is the slope there is.
func TestPartsBendToTheirBounds(t *testing.T) {
	for _, added := range []bool{false, true} {
		p := partUnknown{Part: airflow.Part{Slot: airflow.Slot{Kind: airflow.SlotK}, Base: 0.4}, added: added}
		at := func(e float64) (v, slope float64) {
			c := airflow.Coefs{K: make([]float64, 1)}
			slope = p.as(e, &c)
			return c.K[0], slope
		}
		for e := -6.0; e <= 6; e += 0.05 {
			const h = 1e-6
			a, _ := at(e - h)
			b, _ := at(e + h)
			v, slope := at(e)
			require.InDelta(t, (b-a)/(2*h), slope, 1e-4*max(1, math.Abs(slope)), "added %v, deviation %v", added, e)
			if added {
				require.Greater(t, v, p.Base-leastAdded)
			} else {
				require.Positive(t, v)
			}
		}
		v, _ := at(0)
		require.InDelta(t, p.Base, v, 1e-12)
		v, _ = at(-0.2)
		if added {
			require.InDelta(t, 0.2, v, 1e-12, "no bound near the page")
		}
	}
}

// A slip changes the number on the sheet, not what the instrument did.
func TestASlipErrsAsTheReadingDid(t *testing.T) {
	c, err := trial.NewCase(41, trial.Options{Ports: 4, Sound: true, Wrong: trial.No, Baseline: trial.No, Quick: true})
	require.NoError(t, err)
	m, err := airflow.New(c.System, airflow.Options{})
	require.NoError(t, err)
	right, bad := bind(m, c.Survey)
	require.NoError(t, bad.Err())
	v := *c.Survey
	v.Rows, v.Readings = append(v.Rows[:0:0], v.Rows...), append(v.Readings[:0:0], v.Readings...)
	i := 0
	require.Len(t, v.Readings[i].Rows, 1)
	v.Rows[v.Readings[i].Rows[0]].Value *= 10
	v.Readings[i].Value *= 10
	s := untaught(t, m, &v)
	seen := false
	for _, w := range s.wrongRows() {
		if w.obs != i || !w.slip() || math.Abs(w.y/right.obs[i].y-1) > 0.02 {
			continue
		}
		seen = true
		require.InEpsilon(t, right.obs[i].fresh, w.fresh, 0.05)
		require.InEpsilon(t, right.obs[i].gain, w.gain, 0.05)
		_, d, ok := s.begin(hypothesis{rows: []*wrong{w}}, point{theta: s.pr.mean})
		require.True(t, ok)
		require.InEpsilon(t, w.y, d.y[i], 1e-12)
		require.Less(t, d.noise[i], s.baseNoise(i)/50, "not the error of a value ten times as large")
		off := point{theta: append([]float64(nil), s.pr.mean...)}
		off.theta[s.obs[i].gainIx] = 1
		h := make([]float64, len(s.obs))
		require.NoError(t, s.predict(off, hypothesis{rows: []*wrong{w}}, h))
		require.InDelta(t, d.h[i]+w.gain, h[i], 1e-9*math.Abs(h[i]), "the instrument's lasting error is that of the right value")
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
	s := untaught(t, m, c.Survey)
	for _, s.kappa = range []float64{1, 2} {
		f := s.fitFrom(hypothesis{}, point{theta: s.pr.mean}, patienceFar)
		require.True(t, f.settled)
		for i, v := range f.at.dual {
			require.InDelta(t, f.at.theta[i]-s.pr.mean[i], v, 1e-6)
		}
		var want float64 // misfit and distance from the mean, each in its own standard deviations
		for i, h := range f.fit.h {
			r := s.obs[i].y - h
			want += r * r / s.baseNoise(i)
		}
		for i, v := range f.at.theta {
			want += math.Pow((v-s.pr.mean[i])/s.kappa, 2)
		}
		require.InEpsilon(t, want/2, oneFit{s, f, f.fit}.cost(), 1e-6)
	}
}
