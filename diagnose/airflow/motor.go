package airflow

import (
	"math"

	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// FanPoint is where the fan's speed and its motor's current and power are read.
const FanPoint = "fan"

// load is what the motor delivers over what it does at most air, with its slopes.
// At a given density it grows with speed cubed (the fan laws), and from idleShare
// at no flow in proportion to the flow: so radial wheels do nearly, and others
// lie about it.
type load struct {
	u, byFlow, bySpeed, byMostAir, byIdle float64
}

func (s *State) load() load {
	m, c := s.m, s.c
	r, n, i := m.Air.Density/standardDensity, c.Speed, c.MotorIdle
	full := m.fan.last.Flow * c.MostAir
	q := max(s.Q[m.fanSeg], 0)
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

// atMotor is what is read at the fan: its speed, or its motor's power or current.
func (s *State) atMotor(q units.Quantity) float64 {
	switch q {
	case units.FanSpeed:
		return s.c.Speed * s.c.Turns
	case units.MotorPower:
		return s.c.MotorFull * s.load().u
	}
	i, _ := draw(s.load().u)
	return s.c.MotorAmps * i
}

// bySlopes gives its derivatives: by flow, to be carried on, and by coefficients.
func (s *State) motorSlopes(q units.Quantity, g *Gradient) (byFlow float64) {
	c := s.c
	if q == units.FanSpeed {
		g.Speed += c.Turns
		g.Turns += c.Speed
		return 0
	}
	l := s.load()
	w := c.MotorFull
	if q == units.MotorPower {
		g.MotorFull += l.u
	} else {
		i, slope := draw(l.u)
		w = c.MotorAmps * slope
		g.MotorAmps += i
	}
	g.Speed += w * l.bySpeed
	g.MostAir += w * l.byMostAir
	g.MotorIdle += w * l.byIdle
	return w * l.byFlow
}

// motorFull is the electric power at most air that a fan leads one to expect, W,
// and the current in a single phase.
func (m *Model) motorFull() (power, amps float64) {
	g := m.Sys.Collector.Guess
	if g != nil && g.Motor > 0 {
		power = g.Motor / motorYield
	} else {
		air, suction := GuessedEnds(m.Sys)
		power = air * suction * bestOfPower() / motorToAir / motorYield
	}
	return power, power / (mainsVolts * motorYield)
}

// turns is the speed of the fan's wheel that the file gives, 1/s; where it has none that
// of a two-pole motor stands in, with the mains: 50 Hz where units are metric, 60 Hz
// where they are those of the US.
func turns(sys *duct.System) float64 {
	if r := sys.Collector.Rated; r > 0 {
		return r
	}
	if sys.Units == units.US {
		return motorTurnsUS
	}
	return motorTurns
}

func (m *Model) motorParts() {
	power, amps := m.motorFull()
	m.common(FanTurns, SlotTurns, turns(m.Sys))
	m.common(MotorFull, SlotMotorFull, power)
	m.common(MotorIdle, SlotMotorIdle, idleShare)
	m.common(MotorAmps, SlotMotorAmps, amps)
}
