package fault

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// A hole is never larger than its part, and grows with the way around a large one.
func TestHolesAreNoLargerThanTheirPart(t *testing.T) {
	bore := func(d float64) float64 { return math.Pi / 4 * d * d }
	tests := map[string]struct{ most, want float64 }{
		"a drop may be wide open":            {mostOpen(bore(0.125)), bore(0.125)},
		"so may a workshop's main":           {mostOpen(bore(0.25)), bore(0.25)},
		"twice the main, twice the seam":     {mostOpen(bore(0.5)), 2 * bore(0.25)},
		"the bin of a workshop":              {mostOpenBin(bore(0.15)), bore(0.15)},
		"a plant's bin has no wider lid":     {mostOpenBin(bore(2.1)), mostOpen(bore(LidDiameter))},
		"nor has that of a larger plant":     {mostOpenBin(bore(4)), mostOpenBin(bore(2))},
		"a hole at the end of its prior":     {leakOf(bore(0.1), 12), bore(0.1)},
		"nor is one in a main of two metres": {leakOf(mostOpen(bore(2)), 12), 8 * bore(0.25)},
	}
	for name, x := range tests {
		t.Run(name, func(t *testing.T) { require.InEpsilon(t, x.want, x.most, 1e-4) })
	}
}

func leakOf(most, z float64) float64 {
	v := Variant{Kind: Leak, Bore: most}
	return v.Severity(z)
}
