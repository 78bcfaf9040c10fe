package airflow

import (
	"lostair/diagnose/handbook"
	"lostair/readings/units"
)

// FanPoint is where the fan's speed and its motor's current and power are read.
const FanPoint = "fan"

// load is the motor's load in the state.
func (s *State) load() handbook.MotorLoad {
	m, c := s.m, s.c
	return handbook.MotorLoadAt(s.Q[m.fanSeg], m.Air.Density, m.fan.Last.Flow, c.fan(), c.MotorIdle)
}

// atMotor is what is read at the fan: its speed, or its motor's power or current.
func (s *State) atMotor(q units.Quantity) float64 {
	switch q {
	case units.FanSpeed:
		return s.c.Speed * s.c.Turns
	case units.MotorPower:
		return s.c.MotorFull * s.load().U
	}
	i, _ := handbook.MotorCurrent(s.load().U)
	return s.c.MotorAmps * i
}

// motorSlopes gives its derivatives: by flow, to be carried on, and by coefficients.
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
		g.MotorFull += l.U
	} else {
		i, slope := handbook.MotorCurrent(l.U)
		w = c.MotorAmps * slope
		g.MotorAmps += i
	}
	g.Speed += w * l.BySpeed
	g.MostAir += w * l.ByMostAir
	g.MotorIdle += w * l.ByIdle
	return w * l.ByFlow
}

// directFan adds the derivatives of what the fan gives at a flow by the fan's own
// coefficients.
func (s *State) directFan(q float64, g *Gradient, sign float64) {
	f := s.m.fan.At(q, s.m.Air.Density, s.c.fan())
	g.Pressure -= sign * f.P
	g.Speed -= sign * s.c.Pressure * f.BySpeed
	g.MostAir -= sign * s.c.Pressure * f.ByMostAir
	g.Shape -= sign * s.c.Pressure * f.ByShape
	g.Bend -= sign * s.c.Pressure * f.ByBend
}
