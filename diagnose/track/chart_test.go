package track

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestEWMASignalsOutsideTheLimits(t *testing.T) {
	c := ewma([]float64{0, 0, 5, 5, 5, 0}, 0.3, 0, 1, 3)
	require.InDelta(t, 3*0.42008402520840293, c.Upper, 1e-12) // √(0.3/1.7)
	require.Equal(t, 3, c.First)
	require.Equal(t, -c.Lower, c.Upper)
	require.Equal(t, 4, ewma([]float64{0, 0, -3, -3}, 0.3, 0, 1, 3).First)
	require.Zero(t, ewma(nil, 0.3, 0, 1, 3).First)
}

func TestCUSUMSignalsBothWays(t *testing.T) {
	up := cusum([]float64{1, 1, 1, 1, 1, 1}, 0, 0.5, 2)
	require.Equal(t, 5, up.First, "0.5 a step passes 2 at the fifth")
	require.Zero(t, up.Low[5])
	down := cusum([]float64{-1, -1, -1, -1, -1, -1}, 0, 0.5, 2)
	require.Equal(t, up.High, down.Low)
	require.Equal(t, 5, down.First)
	require.Zero(t, cusum([]float64{0.4, -0.4, 0.4}, 0, 0.5, 2).First)
}
