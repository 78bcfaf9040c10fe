package airflow

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
)

// What a duct loses at 20 m/s: f L/d and its fittings, by hand. Of 100 mm spiral pipe
// Colebrook's formula gives f = 0.0210 at Re 132,600 and a roughness of 0.09 mm (worked
// out by hand, as row P26 of testdata/published has it for others).
func TestUsualLossOfADuct(t *testing.T) {
	d := oneDuct(0.1)
	d.Ducts[0].Length, d.Ducts[0].Material, d.Ducts[0].Roughness = 5, "", 0.09e-3
	m := modelOf(t, d)
	f := 0.02
	re := 20 * 0.1 * m.Air.Density / m.Air.Viscosity
	for range 50 {
		x := -2 * math.Log10(0.09e-3/0.1/3.7+2.51/(re*math.Sqrt(f)))
		f = 1 / (x * x)
	}
	require.InDelta(t, 132600, re, 500)
	require.InDelta(t, 0.0210, f, 0.0003)
	require.InEpsilon(t, f*5/0.1, m.UsualLoss(0), 1e-6)
	d.Ducts[0].Fittings = []duct.Fitting{{Loss: 0.4, Count: 2}}
	require.InEpsilon(t, f*5/0.1+0.8, modelOf(t, d).UsualLoss(0), 1e-6)
	d.Ducts[0].Length, d.Ducts[0].Fittings, d.Ducts[0].Taps = 1e-6, nil, nil
	require.Equal(t, leastLoss, modelOf(t, d).UsualLoss(0))
}
