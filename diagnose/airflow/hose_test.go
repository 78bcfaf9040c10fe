package airflow

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/readings/units"
)

const inch = 0.0254

// A hose with a smooth lining loses less than a ribbed one, as the roughnesses of
// 0.9 and 3 mm have it: in a 6 in. hose at 20 m/s the rough-wall factors, by hand
// 1/(2 log10(3.7 D/k))², are 0.0320 and 0.0483.
func TestALinedHoseLosesLess(t *testing.T) {
	friction := func(lined bool) float64 {
		sys := oneDuct(6 * inch)
		d := &sys.Ducts[0]
		d.Material, d.Length, d.Lined = "flexible", 4, lined
		d.Taps[0].Distance = 2
		return frictionAt20(t, sys)
	}
	require.InEpsilon(t, 0.0320/0.0483, friction(true)/friction(false), 0.02)
}

// Per velocity pressure a rectangular duct loses as much along its length as a round
// one of the same hydraulic diameter, and a square one that of its side.
func TestARectangularDuctLosesByItsHydraulicDiameter(t *testing.T) {
	friction := func(shape func(d *duct.Duct)) float64 {
		sys := oneDuct(6 * inch)
		d := &sys.Ducts[0]
		d.Material, d.Length = "galvanised", 4
		d.Taps[0].Distance = 2
		shape(d)
		return frictionAt20(t, sys)
	}
	for _, c := range []struct{ width, height, hydraulic float64 }{{0.2, 0.2, 0.2}, {0.3, 0.15, 0.2}, {0.4, 0.4 / 3, 0.2}} {
		flat := friction(func(d *duct.Duct) { d.SetRectangle(c.width, c.height) })
		round := friction(func(d *duct.Duct) { d.MakeRound(c.hydraulic) })
		require.InEpsilon(t, round, flat, 1e-6, "%g by %g", c.width, c.height)
	}
}

// frictionAt20 is what is lost along a duct at an air speed of 20 m/s.
func frictionAt20(t *testing.T, sys *duct.System) float64 {
	t.Helper()
	m, err := New(sys, Options{})
	require.NoError(t, err)
	g := newRig(t, m)
	clear(g.c.Seep)
	g.hold(velocity, 20)
	return g.s.DuctLoss(0) + g.at("P", units.StaticPressure) + g.at("P", units.VelocityPressure)
}

// A hose that is not stretched out loses by its factor more along its length, and
// nothing else changes: solved at one velocity. By the table (P31), 6 in. by 15 %: 5.09.
func TestACompressedHoseLosesMore(t *testing.T) {
	friction := func(compressed float64) float64 {
		sys := oneDuct(6 * inch)
		d := &sys.Ducts[0]
		d.Material, d.Length, d.Compressed = "flexible", 4, compressed
		d.Taps[0].Distance = 2
		return frictionAt20(t, sys)
	}
	require.InEpsilon(t, 5.09, friction(0.15)/friction(0), 2e-3)
	require.InEpsilon(t, 2.09, friction(0.04)/friction(0), 2e-3)
}
