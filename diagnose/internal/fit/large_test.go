package fit_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
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
