package observe_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"lostair/diagnose/internal/observe"
	"lostair/readings/units"
)

// The contract's errors: half of an instrument's variance is fresh in each
// reading, and repeats and positions average that half alone; the other half
// stays through a survey and has the reading's sign; 95 % limits are 1.96 sigma.
func TestErrorsOfAnObservation(t *testing.T) {
	in := observe.Instrument{Id: "gauge", Measures: units.Pressure, OfReading: 0.02, Floor: 3}
	for _, r := range []struct {
		y                  float64
		repeats, positions int
		sd, averaged       float64
	}{{1000, 1, 0, 20 / 1.96, 1}, {-1000, 1, 0, 20 / 1.96, 1}, {10, 1, 0, 3 / 1.96, 1}, {-1000, 4, 0, 20 / 1.96, 4}, {1000, 2, 8, 20 / 1.96, 16}} {
		o := observe.Observation{Y: r.y}
		o.Errors(in, units.StaticPressure, 1.2, r.repeats, r.positions)
		assert.InEpsilon(t, r.sd, o.Sd, 1e-4, "%+v", r)
		assert.InEpsilon(t, r.sd/math.Sqrt2/math.Sqrt(r.averaged), o.Fresh, 1e-4, "%+v", r)
		assert.InEpsilon(t, math.Copysign(r.sd/math.Sqrt2, r.y), o.Gain, 1e-4, "%+v", r)
	}
}
