package doubt

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/readings/units"
)

// The wrong size was on the shelf: in a shop described in inches a size in inches.
func TestSizesAreOfTheShopsTrade(t *testing.T) {
	require.InDeltaSlice(t, []float64{0.0762, 0.1016, 0.1524, 0.1778, 0.2032}, sizesNear(0.127, units.US), 1e-9)
	require.InDeltaSlice(t, []float64{0.063, 0.075, 0.080, 0.120, 0.125, 0.140, 0.150, 0.160}, sizesNear(0.100, units.Metric), 1e-9)
}
