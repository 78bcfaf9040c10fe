package airflow

import "lostair/readings/units"

// FanPoint is where the fan's speed and its motor's current and power are read.
const FanPoint = "fan"

// load is the motor's load in the state.
func (s *State) load() load {
	m, c := s.m, s.c
	return loadAt(s.Q[m.fanSeg], m.Air.Density, m.fan.last.Flow, c.fan(), c.MotorIdle)
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
	f := s.m.fan.at(q, s.m.Air.Density, s.c.fan())
	g.Pressure -= sign * f.p
	g.Speed -= sign * s.c.Pressure * f.bySpeed
	g.MostAir -= sign * s.c.Pressure * f.byMostAir
	g.Shape -= sign * s.c.Pressure * f.byShape
	g.Bend -= sign * s.c.Pressure * f.byBend
}
