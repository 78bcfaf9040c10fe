package airflow

import (
	"math"

	"lostair/diagnose/duct"
)

// load is what the motor delivers over what it does at most air, with its slopes.
// At a given density it grows with speed cubed (the fan laws), and from idleShare
// at no flow in proportion to the flow: so radial wheels do nearly, and others
// lie about it.
type load struct {
	u, byFlow, bySpeed, byMostAir, byIdle float64
}

// loadAt is the load at a flow and a density, with the most air of the curve and
// the fan as built; idle is the share of the power at no flow.
func loadAt(q, density, mostAir float64, c FanBuilt, idle float64) load {
	r, n, i := density/standardDensity, c.Speed, idle
	full := mostAir * c.MostAir
	q = max(q, 0)
	return load{
		u:         r * (i*n*n*n + (1-i)*n*n*q/full),
		byFlow:    r * (1 - i) * n * n / full,
		bySpeed:   r * (3*i*n*n + 2*(1-i)*n*q/full),
		byMostAir: -r * (1 - i) * n * n * q / (full * c.MostAir),
		byIdle:    r * (n*n*n - n*n*q/full),
	}
}

// draw is a motor's current over that at full load, and its slope by the load: an
// idle motor draws its magnetising current still.
func draw(u float64) (i, slope float64) {
	const m2 = idleCurrent * idleCurrent
	i = math.Sqrt(m2 + (1-m2)*u*u)
	return i, (1 - m2) * u / i
}

// motorFull is the electric power at most air that a fan leads one to expect, W,
// and the current in a single phase.
func motorFull(sys *duct.System) (power, amps float64) {
	g := sys.Collector.Guess
	if g != nil && g.Motor > 0 {
		power = g.Motor / motorYield
	} else {
		air, suction := GuessedEnds(sys)
		power = air * suction * bestOfPower() / motorToAir / motorYield
	}
	return power, power / (mainsVolts * motorYield)
}
