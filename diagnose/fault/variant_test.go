package fault

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The severity that does so many times what the middling one does does that,
// as far as severities go.
func TestDoing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom([]Kind{Leak, Blockage, GateRestricted, GateLeaking, FilterLoaded, FanWeak}).Draw(t, "kind")
		v := &Variant{Kind: k, Bore: 0.01}
		sp := Severities[k]
		z := rapid.Float64Range(sp.Mean-2.4*sp.Sd, sp.Mean+2.4*sp.Sd).Draw(t, "z")
		require.InDelta(t, z, v.Doing(v.Amount(z)/v.Amount(sp.Mean)), 1e-4)
		for _, times := range []float64{0, 1e9} {
			require.InDelta(t, sp.Mean, v.Doing(times), MostOff*sp.Sd+1e-9)
		}
	})
}
