package screen_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lostair/diagnose/internal/screen"
)

// An amplitude is the likeliest one: no other explains the readings better,
// rated by what it spreads by before anything was read.
func TestAmplitudeIsTheLikeliest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := math.Exp(rapid.Float64Range(-3, 6).Draw(t, "w"))
		g := w * math.Exp(rapid.Float64Range(-1.5, 1.5).Draw(t, "times"))
		value := func(a float64) float64 { return a*g - a*a*w/2 - math.Log(a)*math.Log(a)/(2*screen.Tau2) }
		a := screen.Amplitude(g, w)
		for _, by := range []float64{0.9, 0.99, 1.01, 1.1} {
			require.LessOrEqual(t, value(a*by), value(a)+1e-6)
		}
	})
}
