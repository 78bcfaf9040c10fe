package asbuilt_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/kit"
)

// The page's own uncertainty of losses scales those spreads that are losses, and no other.
func TestUncertaintyOfLosses(t *testing.T) {
	usual := kit.NewRules(t)
	twice := kit.NewRules(t)
	twice.Sys.Uncertainty.Losses = 2 * asbuilt.UsualLosses
	a, b := asbuilt.NewUnknowns(usual.M), asbuilt.NewUnknowns(twice.M)
	for i := range a.Parts {
		f := 1.0
		if asbuilt.Spreads[a.Parts[i].What].Losses { // as those of hoods and hoses of their own
			f = 2
		}
		require.InDelta(t, f*a.Parts[i].Sd[0], b.Parts[i].Sd[0], 1e-12)
		require.InDelta(t, f*a.Parts[i].Sd[1], b.Parts[i].Sd[1], 1e-12)
	}
}
