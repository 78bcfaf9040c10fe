package show

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// In a column a setting of many gates is told by its first few.
func TestLongSettingsAreBrief(t *testing.T) {
	require.Equal(t, "all", Briefly("all"))
	require.Equal(t, "a + b", Briefly("a+b"))
	twelve := "a+b+c+d+e+f+g+h+i+j+k+l"
	require.Equal(t, Spaced(twelve), Briefly(twelve))
	require.Equal(t, "a + b + c + 10 more", Briefly(twelve+"+m"))
}

func TestNiceStep(t *testing.T) {
	for _, c := range []struct {
		most float64
		n    int
		want float64
	}{{10, 4, 5}, {8, 4, 2}, {100, 4, 50}, {0.35, 4, 0.1}, {0, 4, 1}, {math.Inf(1), 4, 1}} {
		require.InDelta(t, c.want, NiceStep(c.most, c.n), 1e-12, "%v", c)
	}
}
