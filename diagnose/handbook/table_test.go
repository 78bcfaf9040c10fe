package handbook

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// A table's ends hold; between its rows it is even, or even in its logarithm.
func TestTables(t *testing.T) {
	table := []point{{1, 10}, {2, 1000}, {4, 100}}
	for x, want := range map[float64]float64{0: 10, 1: 10, 1.5: 505, 2: 1000, 3: 550, 4: 100, 9: 100} {
		require.InDelta(t, want, at(table, x), 1e-9)
	}
	for x, want := range map[float64]float64{1: 10, 1.5: 100, 2: 1000, 3: math.Sqrt(1e5), 4: 100} {
		require.InEpsilon(t, want, atLog(table, x), 1e-9)
	}
}
