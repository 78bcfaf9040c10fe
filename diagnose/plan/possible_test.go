package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"lostair/diagnose/fault"
	"lostair/readings/units"
)

// What has no direction has no negative end, and before the fan no pressure is above the
// room's, unless that is the gauge.
func TestPossible(t *testing.T) {
	iv := fault.Interval{Value: 90, Low: -20, High: 200}
	assert.Equal(t, 0.0, possible(iv, units.PressureDrop, 3).Low)
	assert.Equal(t, -20.0, possible(iv, units.StaticPressure, 3).Low)
	suction := fault.Interval{Value: -90, Low: -200, High: 20}
	assert.Equal(t, 0.0, possible(suction, units.StaticPressure, 3).High)
	assert.Equal(t, -200.0, possible(suction, units.StaticPressure, 3).Low)
	assert.Equal(t, 20.0, possible(suction, units.StaticPressure, 100).High)
}
