package search_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
)

// A fit of a large survey that takes over what it grew from comes to what one that
// works all of it out comes to.
func TestLargeFitComesToTheSame(t *testing.T) {
	s, ss := largeStudy(t)
	s.Slim()
	require.True(t, s.Large())
	s.NoiseScale = 20 // the blockage is not among the hypotheses
	sound := s.Fit(fit.Hypothesis{}, s.Before())
	require.True(t, sound.Ok())
	for _, site := range []int{0, len(ss) / 3, len(ss) - 1} {
		h := fit.Hypothesis{Faults: ss[site].Variants[:1]}
		s.Ref = sound.Fit
		near := s.Fit(h, sound.At)
		s.Ref = nil
		own := s.Fit(h, sound.At)
		require.True(t, near.Ok() && own.Ok())
		require.InDelta(t, own.Evidence, near.Evidence, 1, "%s at %s", ss[site].Kind, ss[site].Where)
	}
}

// What a thing does to readings counts the same where it is kept by branches as in
// full, apart from what is far below their errors.
func TestPullsOfALargeSurvey(t *testing.T) {
	s, ss := largeStudy(t)
	s.Slim()
	f := s.Fit(fit.Hypothesis{}, s.Before())
	require.True(t, f.Ok())
	ideas, effect := search.FirstLook(s, f, ss)
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
		require.InDelta(t, want, 1/(sd*sd)-1/search.Tau2, 0.02*want+0.2, "%s at %s", ss[ideas[k].Faults[0].Site].Kind, ss[ideas[k].Faults[0].Site].Where)
	}
}

// A search of a large survey ends when nobody waits for it any more.
func TestSearchOfAPlantStops(t *testing.T) {
	s, ss := largeStudy(t)
	ctx, stop := context.WithCancel(context.Background())
	stop()
	u := asbuilt.NewUnknowns(s.M)
	l := fit.NewLayout(u, s.B)
	setup := func(b *observe.Bound) *fit.Study {
		return fit.NewStudy(s.M, u, l, b, fit.Prior{Mean: make([]float64, l.N), Scale: 1})
	}
	_, _, _, err := search.SearchPlant(ctx, setup, s.B, ss, nil)
	require.ErrorIs(t, err, context.Canceled)
}
