package screen_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
)

// The first look rates all additions at once as it would one by one, those of a plant by
// branches.
func TestFirstLooksAreRatedAsOneByOne(t *testing.T) {
	_, small := kit.TrialStudy(t, 404)
	large, sites := kit.LargeStudy(t)
	large.Slim()
	require.True(t, large.Large())
	for _, x := range []struct {
		s   *fit.Study
		ss  []*fault.Site
		off float64 // share that rounding may take
	}{{small, fault.Sites(small.M), 0}, {large, sites, 1e-9}} {
		s := x.s
		f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
		first, linear := search.FirstLook(s, f, x.ss)
		effect := linear.Of(numeric.Evenly(len(first), len(first)))
		require.Greater(t, len(first), 10)
		for k, idea := range first {
			d, sd := mat.VecDenseCopyOf(effect.ColView(k)), mat.NewVecDense(len(s.Observation), nil)
			require.NoError(t, f.Fit.Chol.SolveVecTo(sd, d))
			want := f.Evidence + idea.Prior + screen.AmplitudeGain(mat.Dot(d, f.Fit.Alpha), mat.Dot(d, sd))
			require.InDelta(t, want, idea.Score, 1e-9+x.off*math.Abs(want))
		}
	}
}

// What faults of one branch do to the readings of others is so many times the same
// where the gates stand alike: that is what a plant's are rated by.
func TestFaultsOfABranchDoTheSameElsewhere(t *testing.T) {
	s, ss := kit.LargeStudy(t)
	s.Slim()
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	first, linear := search.FirstLook(s, f, ss)
	effect := linear.Of(numeric.Evenly(len(first), len(first)))
	sizes := f.Fit.Chol.Sizes(effect)
	ducts := slices.Repeat([]int{-1}, len(sizes))
	k, apart := 0, 0
	for _, st := range ss {
		for range st.Variants {
			if st.Prior > 0 {
				ducts[k] = st.Duct
				k++
			}
		}
	}
	require.Equal(t, len(sizes), k)
	for n, v := range screen.SizesApart(s, f, effect, ducts) {
		if !math.IsNaN(v) {
			require.InEpsilon(t, sizes[n]+1e-9, v+1e-9, 1e-6)
			apart++
		}
	}
	require.Greater(t, apart, len(sizes)*3/4)
}

// A second look that solves only where something moves rates as one that solves all.
func TestSecondLooksSolveWhatMatters(t *testing.T) {
	_, s := kit.TrialStudy(t, 405)
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	ss := fault.Sites(s.M)
	first, linear := search.FirstLook(s, f, ss)
	by := screen.ByScore(first)[:screen.SecondLooks]
	effect := linear.Of(by)
	looked := append([]screen.Idea(nil), first...)
	for w := range numeric.Workers {
		screen.SecondLook(s, f, looked, effect, by, w)
	}
	h := make([]float64, len(s.Observation))
	skipped := 0
	for n, k := range by {
		x := looked[k]
		v := x.Faults[len(x.Faults)-1]
		require.NoError(t, s.Predict(fit.Point{Theta: f.At.Theta, Z: []float64{v.Usual().Mean}}, x.Hypothesis, h))
		d, sd := mat.NewVecDense(len(h), nil), mat.NewVecDense(len(h), nil)
		for i := range h {
			d.SetVec(i, h[i]-f.Fit.H[i])
		}
		require.NoError(t, f.Fit.Chol.SolveVecTo(sd, d))
		want := f.Evidence + x.Prior + screen.AmplitudeGain(mat.Dot(d, f.Fit.Alpha), mat.Dot(d, sd))
		require.InDelta(t, want, x.Score, 0.06+0.001*math.Abs(want), "%v at %s", v.Kind, ss[v.Site].Where)
		for _, yes := range screen.MovedBy(s, f, effect, n) {
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
	for c, yes := range screen.MovedBy(s, &x, nothing, 0) {
		require.Equal(t, c == other || c == s.Observation[0].Cfg, yes, "configuration %d", c)
	}
	x.Rows[0].Cfg = -1
	for c, yes := range screen.MovedBy(s, &x, nothing, 0) {
		require.Equal(t, c == s.Observation[0].Cfg, yes, "configuration %d", c)
	}
	far := mat.NewDense(len(s.Observation), 1, nil)
	last := len(s.Observation) - 1
	far.Set(last, 0, 3*screen.LinearUpTo*math.Sqrt(f.Fit.Noise[last]))
	for c, yes := range screen.MovedBy(s, f, far, 0) {
		require.Equal(t, c == s.Observation[last].Cfg, yes, "configuration %d", c)
	}
}

// A filter or a fan that a fit has bent far off is handed over to a fault of it.
func TestABentFilterIsHandedOver(t *testing.T) {
	_, s := kit.TrialStudy(t, 406)
	own := s.U.Parts[s.U.Filter].Ix[0]
	at := fit.Point{Theta: slices.Clone(s.Pr.Mean), Dual: make([]float64, s.N)}
	at.Theta[own], at.Dual[own] = 3, 3
	for _, k := range []fault.Kind{fault.FilterLoaded, fault.FanWeak, fault.Leak} {
		p := screen.HandedOver(s, at, &fault.Variant{Kind: k})
		require.Equal(t, k == fault.FilterLoaded, p != nil, k)
		if p != nil {
			require.Zero(t, p.Theta[own])
			require.Zero(t, p.Dual[own])
			require.InDelta(t, 3, at.Theta[own], 0, "the fit itself stays")
		}
	}
	at.Theta[own] = 1
	require.Nil(t, screen.HandedOver(s, at, &fault.Variant{Kind: fault.FilterLoaded}), "that is no more than usual")
}

// What a thing does to readings counts the same where it is kept by branches as in
// full, apart from what is far below their errors.
func TestPullsOfALargeSurvey(t *testing.T) {
	s, ss := kit.LargeStudy(t)
	s.Slim()
	f := s.Fit(fit.Hypothesis{}, s.Before())
	require.True(t, f.Ok())
	ideas, linear := search.FirstLook(s, f, ss)
	effect := linear.Of(numeric.Evenly(len(ideas), len(ideas)))
	m := len(s.Observation)
	j, h := mat.NewDense(m, s.N, nil), make([]float64, m)
	require.NoError(t, s.Predict(f.At, f.Hypothesis, h))
	s.Jacobian(f.At, f.Hypothesis, j, nil)
	full := mat.NewSymDense(m, nil)
	full.SymOuterK(s.PriorScale*s.PriorScale*s.Pr.Scale, j)
	for i := range m {
		full.SetSym(i, i, full.At(i, i)+f.Fit.Noise[i]*s.NoiseScale*s.NoiseScale)
	}
	var c mat.Cholesky
	require.True(t, c.Factorize(full))
	require.InDelta(t, c.LogDet(), f.Fit.Chol.LogDet(), 0.05)
	for k := 0; k < len(ideas); k += 17 {
		var x mat.VecDense
		require.NoError(t, c.SolveVecTo(&x, effect.ColView(k)))
		want := mat.Dot(&x, effect.ColView(k))
		sd := ideas[k].Times.Sd
		require.InDelta(t, want, 1/(sd*sd)-1/screen.Tau2, 0.02*want+0.2, "%s at %s", ss[ideas[k].Faults[0].Site].Kind, ss[ideas[k].Faults[0].Site].Where)
	}
}
