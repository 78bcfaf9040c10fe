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
