package airflow

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/readings/units"
)

// A hose that is not stretched out loses by its factor more along its length, and
// nothing else changes: solved at one velocity. By the table (P31), 6 in. by 15 %: 5.09.
func TestACompressedHoseLosesMore(t *testing.T) {
	friction := func(compressed float64) float64 {
		sys := oneDuct(6 * inch)
		d := &sys.Ducts[0]
		d.Material, d.Length, d.Compressed = "flexible", 4, compressed
		d.Taps[0].Distance = 2
		m, err := New(sys, Options{})
		require.NoError(t, err)
		g := newRig(t, m)
		clear(g.c.Seep)
		g.hold(velocity, 20)
		return g.s.DuctLoss(0) + g.at("P", units.StaticPressure) + g.at("P", units.VelocityPressure)
	}
	require.InEpsilon(t, 5.09, friction(0.15)/friction(0), 2e-3)
	require.InEpsilon(t, 2.09, friction(0.04)/friction(0), 2e-3)
}
