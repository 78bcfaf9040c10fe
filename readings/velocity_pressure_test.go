package readings_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/readings"
	"lostair/readings/units"
)

// A gauge at rest shows a little less than zero as often as more: such a row is
// a reading, in a traverse too, and never loses the rest of the survey.
func TestVelocityPressureMayBeNegative(t *testing.T) {
	s, bad := readings.Load(strings.NewReader(`open,point,quantity,value,unit,position
none,saw,velocity_pressure,-1,Pa,
saw,saw,velocity_pressure,-4,Pa,1
saw,saw,velocity_pressure,16,Pa,2
saw,saw,velocity_pressure,16,Pa,3
`), "survey.csv", units.Metric)
	require.NoError(t, bad.Err())
	require.Len(t, s.Readings, 2)
	require.InDelta(t, -1, s.Readings[0].Value, 1e-9)
	require.InDelta(t, 4, s.Readings[1].Value, 1e-9) // the mean of −2, 4 and 4, squared
}
