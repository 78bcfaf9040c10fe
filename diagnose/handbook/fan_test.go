package handbook

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
)

// A fan's curve goes on past its last point as it came to it, and falls by a thousandth of
// its first pressure over its last flow at least; before its first it falls a tenth as fast.
func TestFanPastItsPoints(t *testing.T) {
	of := func(points ...duct.CurvePoint) *FanCurve {
		f, err := NewFanCurve(&duct.System{Collector: duct.Collector{Curve: points}})
		require.NoError(t, err)
		return f
	}
	f := of(duct.CurvePoint{Flow: 0.1, Pressure: 1000}, duct.CurvePoint{Flow: 0.3, Pressure: 900}, duct.CurvePoint{Flow: 0.7, Pressure: 100})
	p, slope := f.between(0.8)
	require.InDelta(t, -2000, slope, 1e-9)
	require.InDelta(t, 100-200, p, 1e-9)
	p, slope = f.between(0.05)
	require.LessOrEqual(t, slope, -200.0)
	require.InDelta(t, 1000-0.05*slope, p, 1e-9)
	p, _ = f.between(0.3)
	require.InDelta(t, 900, p, 1e-9)
	flat := of(duct.CurvePoint{Flow: 0, Pressure: 1000}, duct.CurvePoint{Flow: 0.5, Pressure: 1000})
	require.InDelta(t, -1e-3*1000/0.5, flat.endSlope, 1e-12)
	low := of(duct.CurvePoint{Flow: 0, Pressure: 0.5}, duct.CurvePoint{Flow: 0.5, Pressure: 0.5})
	require.InDelta(t, -1e-3/0.5, low.endSlope, 1e-12)
	_, err := NewFanCurve(&duct.System{Collector: duct.Collector{Curve: make([]duct.CurvePoint, 1)}})
	require.EqualError(t, err, "the fan curve has 1 points; give at least 2")
}

// A fan blown backwards resists more than one at rest, also if its curve rises
// from there.
func TestFanBlownBackwards(t *testing.T) {
	for _, rising := range []float64{1500, 2000} {
		f, err := NewFanCurve(&duct.System{Collector: duct.Collector{Curve: []duct.CurvePoint{{Flow: 0, Pressure: rising}, {Flow: 0.2, Pressure: 2000}, {Flow: 0.5, Pressure: 1200}, {Flow: 0.8, Pressure: 0}}}})
		require.NoError(t, err)
		c := FanBuilt{Speed: 1, MostAir: 1, Shape: 1}
		x := f.At(-0.1, f.Density, c)
		require.Negative(t, x.ByFlow)
		require.Greater(t, x.P, rising)
		x = f.At(1.2, f.Density, c)
		require.Negative(t, x.ByFlow)
		require.Negative(t, x.P, "past its last point it goes on falling")
	}
}

// What the parts lose that the curve includes is given back, at its density.
func TestPartsThatACurveIncludes(t *testing.T) {
	f, err := NewFanCurve(&duct.System{Collector: duct.Collector{
		Curve: []duct.CurvePoint{{Flow: 0, Pressure: 2600}, {Flow: 2900. / 3600, Pressure: 0}}, Density: 0.602, Whole: []duct.Part{duct.Cyclone, duct.Filter},
		Cyclone: &duct.Drop{Pressure: 450, At: 1600. / 3600}, Filter: &duct.Drop{Pressure: 150, At: 1600. / 3600},
	}})
	require.NoError(t, err)
	require.InEpsilon(t, 450/math.Pow(1600./3600, 2)/2, f.squared, 1e-9)
	require.InEpsilon(t, 150/(1600./3600), f.linear, 1e-9)
}
