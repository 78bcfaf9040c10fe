package search_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
)

// A fit of a large survey that takes over what it grew from comes to what one that
// works all of it out comes to.
func TestLargeFitComesToTheSame(t *testing.T) {
	s, ss := kit.LargeStudy(t)
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

// A search of a large survey ends when nobody waits for it any more.
func TestSearchOfAPlantStops(t *testing.T) {
	s, ss := kit.LargeStudy(t)
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
