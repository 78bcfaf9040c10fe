package handbook

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The friction factor's derivatives by ln Re against differences.
func TestFrictionDerivatives(t *testing.T) {
	for _, re := range []float64{5e3, 5e4, 1e6} {
		for _, rel := range []float64{0, 1e-4, 1e-2} {
			_, f1, f2, root := colebrookSeries(re, rel, 0)
			const e = 1e-4
			a, a1, _, _ := colebrookSeries(re*math.Exp(-e), rel, root)
			b, b1, _, _ := colebrookSeries(re*math.Exp(e), rel, root)
			require.InEpsilon(t, (b-a)/(2*e), f1, 1e-4, "Re %g, roughness %g", re, rel)
			require.InEpsilon(t, (b1-a1)/(2*e), f2, 1e-3, "Re %g, roughness %g", re, rel)
		}
	}
}
