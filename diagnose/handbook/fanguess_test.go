package handbook

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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

// The best air power of a curve 1 − xⁿ is the most of x(1 − xⁿ); what is expected of a fan
// of which only the motor and the wheel are known has that power.
func TestAFanKnownByItsMotor(t *testing.T) {
	best := 0.0
	for x := 0.0; x < 1; x += 1e-4 {
		best = max(best, x*(1-math.Pow(x, 2.5)))
	}
	require.InDelta(t, best, bestOfPower(), 1e-6)
	sys := &duct.System{Collector: duct.Collector{Guess: &duct.FanGuess{Motor: 2200, Wheel: 0.35}}}
	air, suction := GuessedEnds(sys)
	rim := math.Pi * 0.35 * 48.3
	require.InEpsilon(t, 0.7*1.204*rim*rim, suction, 1e-9)
	require.InEpsilon(t, 0.5*2200, air*suction*best, 1e-4)
	power, amps := MotorFull(sys)
	require.InEpsilon(t, 2200/0.85, power, 1e-9)
	require.InEpsilon(t, power/(230*0.85), amps, 1e-9)
	// by its curve: the most power that it can give, half of what its motor has
	sys.Collector = duct.Collector{Curve: []duct.CurvePoint{{Flow: 0, Pressure: 2000}, {Flow: 0.8, Pressure: 0}}}
	power, _ = MotorFull(sys)
	require.InEpsilon(t, 0.8*2000*best/0.5/0.85, power, 1e-4)
	sys.Collector = duct.Collector{Inlet: 0.2}
	air, suction = GuessedEnds(sys)
	require.InEpsilon(t, 36*math.Pi/4*0.2*0.2, air, 1e-9)
	require.Equal(t, 2200.0, suction)
	sys.Collector.Guess = &duct.FanGuess{MostAir: 0.7, MostSuction: 1800}
	air, suction = GuessedEnds(sys)
	require.Equal(t, []float64{0.7, 1800}, []float64{air, suction})
	require.Equal(t, 48.3, FanTurns(sys))
	sys.Units = units.US
	require.Equal(t, 57.5, FanTurns(sys))
	sys.Collector.Rated = 30
	require.Equal(t, 30.0, FanTurns(sys))
}
