package airflow

import (
	"math"

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

// directFan adds the derivatives of what the fan gives at a flow by the fan's own
// coefficients.
func (s *State) directFan(q float64, g *Gradient, sign float64) {
	f := s.m.fan.at(q, s.m.Air.Density, s.c)
	g.Pressure -= sign * f.p
	g.Speed -= sign * s.c.Pressure * f.bySpeed
	g.MostAir -= sign * s.c.Pressure * f.byMostAir
	g.Shape -= sign * s.c.Pressure * f.byShape
	g.Bend -= sign * s.c.Pressure * f.byBend
}
