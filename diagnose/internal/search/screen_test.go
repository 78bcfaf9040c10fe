package search_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/search"
	"lostair/readings/units"
)

// An amplitude is the likeliest one: no other explains the readings better,
// rated by what it spreads by before anything was read.
func TestAmplitudeIsTheLikeliest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := math.Exp(rapid.Float64Range(-3, 6).Draw(t, "w"))
		g := w * math.Exp(rapid.Float64Range(-1.5, 1.5).Draw(t, "times"))
		value := func(a float64) float64 { return a*g - a*a*w/2 - math.Log(a)*math.Log(a)/(2*search.Tau2) }
		a := search.Amplitude(g, w)
		for _, by := range []float64{0.9, 0.99, 1.01, 1.1} {
			require.LessOrEqual(t, value(a*by), value(a)+1e-6)
		}
	})
}

// The severity that does so many times what the middling one does does that,
// as far as severities go.
func TestDoing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom([]fault.Kind{fault.Leak, fault.Blockage, fault.GateRestricted, fault.GateLeaking, fault.FilterLoaded, fault.FanWeak}).Draw(t, "kind")
		v := &fault.Variant{Kind: k, Bore: 0.01}
		sp := fault.Severities[k]
		z := rapid.Float64Range(sp.Mean-2.4*sp.Sd, sp.Mean+2.4*sp.Sd).Draw(t, "z")
		require.InDelta(t, z, v.Doing(v.Amount(z)/v.Amount(sp.Mean)), 1e-4)
		for _, times := range []float64{0, 1e9} {
			require.InDelta(t, sp.Mean, v.Doing(times), fault.MostOff*sp.Sd+1e-9)
		}
	})
}

// A fit of one fault comes to the same evidence from wherever it starts: it
// goes on until a step would gain nothing, and not until steps are small. A
// small step of a parameter may be a large one of what is read.
func TestAFitComesToTheSameFromAnywhere(t *testing.T) {
	n := 0
	for seed := range uint64(12) {
		_, s := kit.TrialStudy(t, 400+seed)
		sound := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
		require.True(t, sound.Ok())
		for _, x := range fault.Sites(s.M)[:20] {
			v, sp := x.Variants[0], fault.Severities[x.Kind]
			h := fit.Hypothesis{Faults: []*fault.Variant{v}}
			var at []*fit.Fit
			for _, z := range []float64{sp.Mean - sp.Sd, sp.Mean, sp.Mean + sp.Sd} {
				if f := s.FitFrom(h, fit.Point{Theta: sound.At.Theta, Z: []float64{z}, Dual: sound.At.Dual}, fit.PatienceFar); f.Ok() && f.Settled() {
					at = append(at, f)
				}
			}
			for _, f := range at {
				if math.Abs(f.At.Z[0]-at[0].At.Z[0]) > 0.1 {
					continue // another top
				}
				require.InDelta(t, at[0].Evidence, f.Evidence, 0.2, "%v at %s, seed %d", x.Kind, x.Where, seed)
				n++
			}
		}
	}
	require.Greater(t, n, 400)
}

// A fit that stops short promises no more than its point is worth.
func TestAFitThatStopsShortPromisesLess(t *testing.T) {
	_, s := kit.TrialStudy(t, 411)
	sound := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	x := rescaledOf(s, sound)
	require.InDelta(t, sound.Evidence, x, 1e-9)
	d := *sound.Fit
	d.Left = 1.5
	short := *sound
	short.Fit = &d
	require.InDelta(t, sound.Evidence-1.5, rescaledOf(s, &short), 1e-9)
}

func rescaledOf(s *fit.Study, f *fit.Fit) float64 {
	v, _ := s.Rescaled(f, s.PriorScale, s.NoiseScale)
	return v
}

// What promises too little is left out, and nothing else changes.
func TestForgottenRows(t *testing.T) {
	_, s := kit.TrialStudy(t, 403)
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	rows := search.WrongRows(s)
	all := search.ScreenRows(s, f, rows, math.Inf(-1))
	least := f.Evidence - 20
	some := search.ScreenRows(s, f, rows, least)
	require.Less(t, len(some), len(all))
	k := 0
	for _, x := range all {
		if x.Score >= least {
			require.Equal(t, x.Score, some[k].Score)
			require.Equal(t, x.Rows, some[k].Rows)
			k++
		}
	}
	require.Len(t, some, k)
}

// The first look rates all additions at once as it would one by one.
func TestFirstLooksAreRatedAsOneByOne(t *testing.T) {
	_, s := kit.TrialStudy(t, 404)
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	first, effect := search.FirstLook(s, f, fault.Sites(s.M))
	require.Greater(t, len(first), 10)
	for k, x := range first {
		d, sd := mat.VecDenseCopyOf(effect.ColView(k)), mat.NewVecDense(len(s.Observation), nil)
		require.NoError(t, f.Fit.Chol.SolveVecTo(sd, d))
		require.InDelta(t, f.Evidence+x.Prior+search.AmplitudeGain(mat.Dot(d, f.Fit.Alpha), mat.Dot(d, sd)), x.Score, 1e-9)
	}
}

// A second look that solves only where something moves rates as one that solves all.
func TestSecondLooksSolveWhatMatters(t *testing.T) {
	_, s := kit.TrialStudy(t, 405)
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	ss := fault.Sites(s.M)
	first, effect := search.FirstLook(s, f, ss)
	by := search.ByScore(first)[:search.SecondLooks]
	looked := append([]search.Idea(nil), first...)
	for w := range numeric.Workers {
		search.SecondLook(s, f, looked, effect, by, w)
	}
	h := make([]float64, len(s.Observation))
	skipped := 0
	for _, k := range by {
		x := looked[k]
		v := x.Faults[len(x.Faults)-1]
		require.NoError(t, s.Predict(fit.Point{Theta: f.At.Theta, Z: []float64{v.Usual().Mean}}, x.Hypothesis, h))
		d, sd := mat.NewVecDense(len(h), nil), mat.NewVecDense(len(h), nil)
		for i := range h {
			d.SetVec(i, h[i]-f.Fit.H[i])
		}
		require.NoError(t, f.Fit.Chol.SolveVecTo(sd, d))
		want := f.Evidence + x.Prior + search.AmplitudeGain(mat.Dot(d, f.Fit.Alpha), mat.Dot(d, sd))
		require.InDelta(t, want, x.Score, 0.06+0.001*math.Abs(want), "%v at %s", v.Kind, ss[v.Site].Where)
		for _, yes := range search.MovedBy(s, f, effect, k) {
			skipped += map[bool]int{false: 1}[yes]
		}
	}
	require.Positive(t, skipped, "some configurations are left out")
}

// A row that was really read with other gates has both settings solved, its own
// and that, whatever an addition does there.
func TestAWrongRowIsSolvedWhereItWasRead(t *testing.T) {
	_, s := kit.TrialStudy(t, 405)
	require.Greater(t, len(s.By), 2)
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	x := *f
	other := (s.Observation[0].Cfg + 1) % len(s.By)
	x.Rows = []*fit.Wrong{{Observation: 0, Cfg: other}}
	nothing := mat.NewDense(len(s.Observation), 1, nil)
	for c, yes := range search.MovedBy(s, &x, nothing, 0) {
		require.Equal(t, c == other || c == s.Observation[0].Cfg, yes, "configuration %d", c)
	}
	x.Rows[0].Cfg = -1
	for c, yes := range search.MovedBy(s, &x, nothing, 0) {
		require.Equal(t, c == s.Observation[0].Cfg, yes, "configuration %d", c)
	}
	far := mat.NewDense(len(s.Observation), 1, nil)
	last := len(s.Observation) - 1
	far.Set(last, 0, 3*search.LinearUpTo*math.Sqrt(f.Fit.Noise[last]))
	for c, yes := range search.MovedBy(s, f, far, 0) {
		require.Equal(t, c == s.Observation[last].Cfg, yes, "configuration %d", c)
	}
}

// A pressure ten times too large may be millimetres of water for pascals as
// well, two in a hundred off: both are tried, and it is said that both may be.
func TestTenTimesMayBeThePointOrTheUnit(t *testing.T) {
	s, _ := kit.FitOf(t)
	var i int
	for k := range s.Observation {
		if s.B.Survey.Rows[s.Observation[k].Rows[0]].Quantity.Dimension() == units.Pressure && s.B.Survey.Rows[s.Observation[k].Rows[0]].Unit == "Pa" {
			i = k
		}
	}
	point, unit := 0, 0
	for _, w := range search.Slips(s, i) {
		f := w.Y / s.Observation[i].Y
		if math.Abs(f/10-1) > 0.03 && math.Abs(f/0.1-1) > 0.03 {
			require.False(t, w.Reason.OrPoint || w.Reason.Kind == fault.SlipPoint, "%.4g times", f)
			continue
		}
		require.True(t, w.Reason.OrPoint || w.Reason.Kind == fault.SlipPoint, "%.4g times", f)
		if w.Reason.Really == "mmH2O" {
			unit++
		} else {
			point++
		}
	}
	require.Equal(t, 2, point)
	require.Equal(t, 2, unit)
}
