package diagnose

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"lostair/diagnose/airflow"
	"lostair/diagnose/trial"
	"lostair/readings/units"
)

// trialStudy is a study of a made-up case with one large fault and no baseline.
func trialStudy(t *testing.T, seed uint64) (*trial.Case, *study) {
	t.Helper()
	c, err := trial.NewCase(seed, trial.Options{Ports: 6, Wrong: trial.No, Baseline: trial.No, Quick: true})
	require.NoError(t, err)
	m, err := airflow.New(c.System, airflow.Options{})
	require.NoError(t, err)
	b, bad := bind(m, c.Survey)
	require.NoError(t, bad.Err())
	u := newUnknowns(m)
	l := newLayout(u, b)
	return c, newStudy(m, u, l, b, prior{mean: make([]float64, l.n), scale: 1})
}

// An amplitude is the likeliest one: no other explains the readings better,
// reckoned with what it spreads by before anything was read.
func TestAmplitudeIsTheLikeliest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := math.Exp(rapid.Float64Range(-3, 6).Draw(t, "w"))
		g := w * math.Exp(rapid.Float64Range(-1.5, 1.5).Draw(t, "times"))
		value := func(a float64) float64 { return a*g - a*a*w/2 - math.Log(a)*math.Log(a)/(2*tau2) }
		a := amplitude(g, w)
		for _, by := range []float64{0.9, 0.99, 1.01, 1.1} {
			require.LessOrEqual(t, value(a*by), value(a)+1e-6)
		}
	})
}

// The severity that does so many times what the middling one does does that,
// as far as severities go.
func TestDoing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom([]Kind{Leak, Blockage, GateRestricted, GateLeaking, FilterLoaded, FanWeak}).Draw(t, "kind")
		v := &variant{kind: k, bore: 0.01}
		sp := severities[k]
		z := rapid.Float64Range(sp.mean-2.4*sp.sd, sp.mean+2.4*sp.sd).Draw(t, "z")
		require.InDelta(t, z, v.doing(v.amount(z)/v.amount(sp.mean)), 1e-4)
		for _, times := range []float64{0, 1e9} {
			require.InDelta(t, sp.mean, v.doing(times), mostOff*sp.sd+1e-9)
		}
	})
}

// A fit of one fault comes to the same evidence from wherever it starts: it
// goes on until a step would gain nothing, and not until steps are small. A
// small step of a parameter may be a large one of what is read.
func TestAFitComesToTheSameFromAnywhere(t *testing.T) {
	n := 0
	for seed := range uint64(12) {
		_, s := trialStudy(t, 400+seed)
		sound := s.fit(hypothesis{}, point{theta: s.pr.mean})
		require.True(t, sound.ok)
		for _, x := range sites(s.m)[:20] {
			v, sp := x.variants[0], severities[x.kind]
			h := hypothesis{faults: []*variant{v}}
			var at []*fitted
			for _, z := range []float64{sp.mean - sp.sd, sp.mean, sp.mean + sp.sd} {
				if f := s.fitFrom(h, point{theta: sound.at.theta, z: []float64{z}, dual: sound.at.dual}, patienceFar); f.ok && f.settled {
					at = append(at, f)
				}
			}
			for _, f := range at {
				if math.Abs(f.at.z[0]-at[0].at.z[0]) > 0.1 {
					continue // another top
				}
				require.InDelta(t, at[0].evidence, f.evidence, 0.2, "%v at %s, seed %d", x.kind, x.where, seed)
				n++
			}
		}
	}
	require.Greater(t, n, 400)
}

// A fit that stops short promises no more than its point is worth.
func TestAFitThatStopsShortPromisesLess(t *testing.T) {
	_, s := trialStudy(t, 411)
	sound := s.fit(hypothesis{}, point{theta: s.pr.mean})
	x := s.rescaledOf(sound)
	require.InDelta(t, sound.evidence, x, 1e-9)
	d := *sound.fit
	d.left = 1.5
	short := *sound
	short.fit = &d
	require.InDelta(t, sound.evidence-1.5, s.rescaledOf(&short), 1e-9)
}

func (s *study) rescaledOf(f *fitted) float64 {
	v, _ := s.rescaled(f, s.kappa, s.rough)
	return v
}

// What promises too little is left out, and nothing else changes.
func TestForgottenRows(t *testing.T) {
	_, s := trialStudy(t, 403)
	f := s.fit(hypothesis{}, point{theta: s.pr.mean})
	rows := s.wrongRows()
	all := s.screenRows(f, rows, math.Inf(-1))
	least := f.evidence - 20
	some := s.screenRows(f, rows, least)
	require.Less(t, len(some), len(all))
	k := 0
	for _, x := range all {
		if x.score >= least {
			require.Equal(t, x.score, some[k].score)
			require.Equal(t, x.rows, some[k].rows)
			k++
		}
	}
	require.Len(t, some, k)
}

// Columns are rated as one by one.
func TestGains(t *testing.T) {
	_, s := trialStudy(t, 404)
	f := s.fit(hypothesis{}, point{theta: s.pr.mean})
	m := len(s.obs)
	e := mat.NewDense(m, 3, nil)
	for i := range m {
		for k := range 3 {
			e.Set(i, k, math.Sin(float64(1+i*(k+1)))*10)
		}
	}
	got := gains(&f.fit.chol, f.fit.alpha, e)
	for k := range 3 {
		d, sd := mat.VecDenseCopyOf(e.ColView(k)), mat.NewVecDense(m, nil)
		require.NoError(t, f.fit.chol.SolveVecTo(sd, d))
		require.InDelta(t, amplitudeGain(mat.Dot(d, f.fit.alpha), mat.Dot(d, sd)), got[k], 1e-9)
	}
}

// A second look that solves only where something moves rates as one that solves all.
func TestSecondLooksSolveWhatMatters(t *testing.T) {
	_, s := trialStudy(t, 405)
	f := s.fit(hypothesis{}, point{theta: s.pr.mean})
	ss := sites(s.m)
	first, effect := s.firstLook(f, ss)
	by := byScore(first)[:secondLooks]
	looked := append([]idea(nil), first...)
	for w := range workers {
		s.secondLook(f, looked, effect, by, w)
	}
	h := make([]float64, len(s.obs))
	skipped := 0
	for _, k := range by {
		x := looked[k]
		v := x.faults[len(x.faults)-1]
		require.NoError(t, s.predict(point{theta: f.at.theta, z: []float64{severities[v.kind].mean}}, x.hypothesis, h))
		d, sd := mat.NewVecDense(len(h), nil), mat.NewVecDense(len(h), nil)
		for i := range h {
			d.SetVec(i, h[i]-f.fit.h[i])
		}
		require.NoError(t, f.fit.chol.SolveVecTo(sd, d))
		want := f.evidence + x.prior + amplitudeGain(mat.Dot(d, f.fit.alpha), mat.Dot(d, sd))
		require.InDelta(t, want, x.score, 0.05, "%v at %s", v.kind, ss[v.site].where)
		for _, yes := range s.movedBy(f, effect, k) {
			skipped += map[bool]int{false: 1}[yes]
		}
	}
	require.Positive(t, skipped, "some configurations are left out")
}

// A row that was really read with other gates has both settings solved, its own
// and that, whatever an addition does there.
func TestAWrongRowIsSolvedWhereItWasRead(t *testing.T) {
	_, s := trialStudy(t, 405)
	require.Greater(t, len(s.by), 2)
	f := s.fit(hypothesis{}, point{theta: s.pr.mean})
	x := *f
	other := (s.obs[0].cfg + 1) % len(s.by)
	x.rows = []*wrong{{obs: 0, cfg: other}}
	nothing := mat.NewDense(len(s.obs), 1, nil)
	for c, yes := range s.movedBy(&x, nothing, 0) {
		require.Equal(t, c == other || c == s.obs[0].cfg, yes, "configuration %d", c)
	}
	x.rows[0].cfg = -1
	for c, yes := range s.movedBy(&x, nothing, 0) {
		require.Equal(t, c == s.obs[0].cfg, yes, "configuration %d", c)
	}
	far := mat.NewDense(len(s.obs), 1, nil)
	last := len(s.obs) - 1
	far.Set(last, 0, 3*linearUpTo*math.Sqrt(f.fit.noise[last]))
	for c, yes := range s.movedBy(f, far, 0) {
		require.Equal(t, c == s.obs[last].cfg, yes, "configuration %d", c)
	}
}

// A pressure ten times too large may be millimetres of water for pascals as
// well, two in a hundred off: both are tried, and it is said that both may be.
func TestTenTimesMayBeThePointOrTheUnit(t *testing.T) {
	s, _ := fitOf(t)
	var i int
	for k := range s.obs {
		if s.b.survey.Rows[s.obs[k].rows[0]].Quantity.Dimension() == units.Pressure && s.b.survey.Rows[s.obs[k].rows[0]].Unit == "Pa" {
			i = k
		}
	}
	point, unit := 0, 0
	for _, w := range s.slips(i) {
		f := w.y / s.obs[i].y
		if math.Abs(f/10-1) > 0.03 && math.Abs(f/0.1-1) > 0.03 {
			require.NotContains(t, w.reason, "decimal point", "%.4g times", f)
			continue
		}
		require.Contains(t, w.reason, "the decimal point slipped one place", "%.4g times", f)
		if strings.Contains(w.reason, "mmH2O") {
			unit++
		} else {
			point++
		}
	}
	require.Equal(t, 2, point)
	require.Equal(t, 2, unit)
}
