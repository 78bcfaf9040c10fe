package figure

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"lostair/diagnose"
	"lostair/readings"
	"lostair/readings/units"
)

func TestDeviation(t *testing.T) {
	check := func(q units.Quantity, measured, expected float64) diagnose.Check {
		return diagnose.Check{Reading: readings.Reading{Quantity: q}, Measured: measured, Expected: expected, Sigma: 1}
	}
	for _, c := range []struct {
		q                  units.Quantity
		measured, expected float64
		want               string
	}{
		{units.StaticPressure, -10, -10, "as expected"},
		{units.StaticPressure, -10, -11.95, "as expected"},
		{units.StaticPressure, -10, -11.97, "less suction"},
		{units.StaticPressure, -10, -14, "far less suction"},
		{units.StaticPressure, -14, -10, "far more suction"},
		{units.Suction, 8, 10, "less suction"},
		{units.MeanVelocity, 8, 10, "less air"},
		{units.PressureDrop, 12, 10, "more drop"},
	} {
		k := check(c.q, c.measured, c.expected)
		assert.Equal(t, c.want, DeviationOf(Drift(k)).Said(c.q), "%v", c)
	}
	k := check(units.Suction, 1, 2)
	k.Sigma = 0
	assert.Zero(t, Drift(k))
}
