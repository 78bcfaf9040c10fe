package handbook

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A friction factor carried on from one nearby is that worked out anew, to the
// third order that the comment on near promises.
func TestFrictionCarriedOn(t *testing.T) {
	const rel = 9e-4
	for _, re := range []float64{6e3, 1e5, 2e6} {
		for _, off := range []float64{-0.9 * near, 0.9 * near} {
			var k Carried
			k.Factor(re, rel)
			got, slope := k.Factor(re*(1+off), rel)
			want, df, _ := FrictionFactor(re*(1+off), rel, 0)
			require.InEpsilon(t, want, got, 1e-8, "Re %g", re)
			require.InEpsilon(t, df*re*(1+off), slope, 1e-4, "Re %g", re)
		}
	}
}
