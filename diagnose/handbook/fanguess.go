package handbook

import (
	"math"

	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// GuessedEnds are the two ends of a fan's curve: those of the file, or what a
// motor and a wheel, or the collector's inlet alone, lead one to expect.
//
// A wheel's most suction goes with the square of its rim's speed: see FanTurns.
// The most air then follows from the motor: the best air power of the
// curve is a share of what is on the nameplate.
func GuessedEnds(sys *duct.System) (mostAir, mostSuction float64) {
	c := &sys.Collector
	switch c.FanKnown() {
	case duct.ByCurve:
		for _, p := range c.Curve {
			mostSuction = max(mostSuction, p.Pressure)
		}
		return c.Curve[len(c.Curve)-1].Flow, mostSuction
	case duct.ByEnds:
		return c.Guess.MostAir, c.Guess.MostSuction
	case duct.ByMotor:
		rim := math.Pi * c.Guess.Wheel * FanTurns(sys)
		mostSuction = wheelSuction * StandardDensity * rim * rim
		return c.Guess.Motor * motorToAir / (mostSuction * bestOfPower()), mostSuction
	}
	return math.Pi / 4 * c.Inlet * c.Inlet * inletAir, inletSuction
}

// bestOfPower is the most air power on a curve that falls by fanPower, as a
// share of its most air times its most suction.
func bestOfPower() float64 {
	return math.Pow(fanPower+1, -1/fanPower) * fanPower / (fanPower + 1)
}

// FanTurns is the speed of the fan's wheel that the file gives, 1/s; where it has none that
// of a two-pole motor stands in, with the mains: 50 Hz where units are metric, 60 Hz
// where they are those of the US.
func FanTurns(sys *duct.System) float64 {
	if r := sys.Collector.Rated; r > 0 {
		return r
	}
	if sys.Units == units.US {
		return motorTurnsUS
	}
	return motorTurns
}
