package search_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
)

// A fit of a large survey, solved on the way with the factor of one near it, comes
// to what one that factors its own at every step comes to.
func TestLargeFitComesToTheSame(t *testing.T) {
	s, ss := largeStudy(t)
	s.Slim()
	require.True(t, s.Large())
	s.NoiseScale = 20 // the blockage is not among the hypotheses
	sound := s.Fit(fit.Hypothesis{}, s.Before())
	require.True(t, sound.Ok)
	for _, site := range []int{0, len(ss) / 3, len(ss) - 1} {
		h := fit.Hypothesis{Faults: ss[site].Variants[:1]}
		s.Ref = sound.Fit
		near := s.Fit(h, sound.At)
		s.Ref = nil
		own := s.Fit(h, sound.At)
		require.True(t, near.Ok && own.Ok)
		require.InDelta(t, own.Evidence, near.Evidence, 1, "%s at %s", ss[site].Kind, ss[site].Where)
	}
}

// What a few readings tell of a thing is never more than what all do, and all of it
// where it moves no others.
func TestToldByAFew(t *testing.T) {
	s, _ := largeStudy(t)
	s.Slim()
	f := s.Fit(fit.Hypothesis{}, s.Before())
	require.True(t, f.Ok)
	m := len(s.Observation)
	few, many := make([]float64, m), make([]float64, m)
	for i := range m {
		many[i] = f.Fit.H[i] * 0.01
		if i%60 == 0 {
			few[i] = many[i]
		}
	}
	told, all := s.Told(f, few, nil, f.Fit.Noise)
	require.True(t, all)
	require.LessOrEqual(t, told, numeric.SolveDot(&f.Fit.Chol, mat.NewVecDense(m, few))*(1+1e-9))
	told, all = s.Told(f, many, nil, f.Fit.Noise)
	require.False(t, all, "a thing that moves every reading is not told by a few")
	require.LessOrEqual(t, told, numeric.SolveDot(&f.Fit.Chol, mat.NewVecDense(m, many)))
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
