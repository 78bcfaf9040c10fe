package handbook

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// A motor's current by its load u is that of 0.4 idle: √(0.16 + 0.84 u²).
func TestAMotorsCurrent(t *testing.T) {
	i, _ := MotorCurrent(1)
	require.InDelta(t, 1, i, 1e-12)
	i, slope := MotorCurrent(0.5)
	require.InDelta(t, math.Sqrt(0.16+0.84*0.25), i, 1e-12)
	require.InDelta(t, 0.84*0.5/i, slope, 1e-12)
}
