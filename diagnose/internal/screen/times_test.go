package screen

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What readings say against a fault leaves little of it; what they don't say
// anything about may be as bad as any.
func TestTimesAbove(t *testing.T) {
	tests := map[string]struct {
		g, w, times, low, high float64
	}{
		"no reading tells":          {0, 0, 0.3, 0.7, 0.9},
		"many tell, and against":    {-20, 100, 0.3, 0, 0.01},
		"many tell, and for":        {100, 100, 0.3, 0.99, 1},
		"for one that takes little": {100, 100, 3, 0, 0.01},
	}
	for name, x := range tests {
		t.Run(name, func(t *testing.T) {
			got := timesOf(x.g, x.w).Above(x.times)
			require.GreaterOrEqual(t, got, x.low)
			require.LessOrEqual(t, got, x.high)
		})
	}
	require.Equal(t, 1.0, Times{}.Above(2), "of what is not known the worst is taken")
}
