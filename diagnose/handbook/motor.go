package handbook

import (
	"math"

	"lostair/diagnose/duct"
)

// MotorLoad is what the motor delivers over what it does at most air, U, with its slopes.
// At a given density it grows with speed cubed (the fan laws), and from IdleShare
// at no flow in proportion to the flow: so radial wheels do nearly, and others
// lie about it.
type MotorLoad struct {
	U, ByFlow, BySpeed, ByMostAir, ByIdle float64
}

// MotorLoadAt is the load at a flow and a density, with the most air of the curve and
// the fan as built; idle is the share of the power at no flow.
func MotorLoadAt(q, density, mostAir float64, c FanBuilt, idle float64) MotorLoad {
	r, n, i := density/StandardDensity, c.Speed, idle
	full := mostAir * c.MostAir
	q = max(q, 0)
	return MotorLoad{
		U:         r * (i*n*n*n + (1-i)*n*n*q/full),
		ByFlow:    r * (1 - i) * n * n / full,
		BySpeed:   r * (3*i*n*n + 2*(1-i)*n*q/full),
		ByMostAir: -r * (1 - i) * n * n * q / (full * c.MostAir),
		ByIdle:    r * (n*n*n - n*n*q/full),
	}
}

// MotorCurrent is a motor's current over that at full load, and its slope by the load: an
// idle motor draws its magnetising current still.
func MotorCurrent(u float64) (i, slope float64) {
	const m2 = idleCurrent * idleCurrent
	i = math.Sqrt(m2 + (1-m2)*u*u)
	return i, (1 - m2) * u / i
}

// MotorFull is the electric power at most air that a fan leads one to expect, W,
// and the current in a single phase.
func MotorFull(sys *duct.System) (power, amps float64) {
	g := sys.Collector.Guess
	if g != nil && g.Motor > 0 {
		power = g.Motor / motorYield
	} else {
		air, suction := GuessedEnds(sys)
		power = air * suction * bestOfPower() / motorToAir / motorYield
	}
	return power, power / (mainsVolts * motorYield)
}
