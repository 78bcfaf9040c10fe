package airflow

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// A wheel that a belt drives slower than its motor makes less suction, with the square
// of its speed, and from the same motor the more air.
func TestSpeedOfAGuessedFan(t *testing.T) {
	sys := &duct.System{Units: units.US, Collector: duct.Collector{Guess: &duct.FanGuess{Motor: 1500, Wheel: 0.3}}}
	air, suction := GuessedEnds(sys)
	sys.Collector.Rated = motorTurnsUS / 2
	slowAir, slowSuction := GuessedEnds(sys)
	assert.InDelta(t, suction/4, slowSuction, 1e-9*suction)
	assert.InDelta(t, 4*air, slowAir, 1e-9*air)
}
