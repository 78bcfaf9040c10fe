package track

import (
	"math"
	"testing"

	"lostair/diagnose/internal/indicator"

	"github.com/stretchr/testify/require"
)

// The median step of a normal series is 0.6745 √2 of its standard deviation, and
// what is found is drawn towards 1 as by a dozen surveys. By hand: fourteen
// surveys a step of 2 apart, s = 2/0.954 = 2.096, √((12 + 13·4.395)/25) = 1.663.
func TestScatterByHand(t *testing.T) {
	require.InDelta(t, 0.6745*math.Sqrt2, medianOfChange, 5e-4)
	list := make([]indicator.Change, 14)
	u := make([]float64, len(list))
	for i := range u {
		u[i] = 2 * float64(i)
	}
	require.InDelta(t, 1.663, scatter(list, u), 1e-3)
	clear(u)
	require.InDelta(t, math.Sqrt(0.7), scatter(list, u), 1e-9, "a series that stands still is not believed to the last")
	require.Equal(t, 1.0, scatter(list[:4], u[:4]), "three steps say nothing")
	// A survey that says nothing is stepped over.
	for i := range u {
		u[i] = 2 * float64(i)
	}
	list[5].None, u[5] = true, 500
	require.Less(t, scatter(list, u), 2.0)
}
