package expect

import (
	"fmt"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/route"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// Expected is what a sound system as the file describes it would show in one
// gate configuration.
type Expected struct {
	Open   readings.Open
	Points []Point         // ports and taps in file order, then the reserved points in the air's
	Flow   float64         // through the fan, m³/s
	Range  *fault.Interval // of that, nine in ten; nil: not worked out
}

// Point is one place and everything that can be read there.
type Point struct {
	Point  string
	Duct   string // id of the duct; "" in the collector
	Port   bool
	Shut   bool            // of a port: a gate on its way is shut
	Need   float64         // of a port, m³/s; 0: none stated
	Range  *fault.Interval // of an open port's flow, nine in ten; nil: not worked out
	Values []Value
}

// Value is one quantity, SI.
type Value struct {
	Quantity units.Quantity
	Value    float64
}

// Value returns the value of a quantity, or false if it can't be read there.
func (p Point) Value(q units.Quantity) (float64, bool) {
	for _, v := range p.Values {
		if v.Quantity == q {
			return v.Value, true
		}
	}
	return 0, false
}

// Expect computes what every port, tap and reserved point should show with the
// given gates open. A gate that the system has not is an error that names the
// nearest; so is a flow that can't be solved.
func Expect(sys *duct.System, open readings.Open) (*Expected, error) {
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	for _, g := range open.Gates {
		if _, ok := m.GateIndex(g); !ok {
			return nil, problem.List{observe.Unknown(sys.File, 0, 0, "gate", g, sys.Gates())}
		}
	}
	cfg, err := m.Configure(open.All, open.Gates, nil)
	if err != nil {
		return nil, err
	}
	s, c := m.NewState(), m.Coefs()
	if err := s.Solve(&c, cfg); err != nil {
		return nil, fmt.Errorf("%s: with %s open: %w", sys.File, open, err)
	}
	return &Expected{Open: open, Points: expectedPoints(m, s, route.Reach(m, cfg)), Flow: s.CollectorFlow()}, nil
}

func expectedPoints(m *airflow.Model, s *airflow.State, open []bool) []Point {
	var out []Point
	add := func(p Point) {
		if p.Values = expectedValues(m, s, p.Point); len(p.Values) > 0 {
			out = append(out, p)
		}
	}
	for i, p := range m.Sys.Ports {
		add(Point{Point: p.ID, Duct: m.Sys.Ducts[p.Duct].ID, Port: true, Shut: !open[i], Need: p.Need})
	}
	for _, d := range m.Sys.Ducts {
		for _, t := range d.Taps {
			add(Point{Point: t.ID, Duct: d.ID})
		}
	}
	for _, id := range readings.ReservedPoints() {
		if id != readings.Bin || m.Sys.Collector.Bin {
			add(Point{Point: id})
		}
	}
	return out
}

// expectedValues is everything that can be read at a point. A suction is left
// out, being the static pressure with its sign turned, and so is what the file
// says too little of.
func expectedValues(m *airflow.Model, s *airflow.State, point string) []Value {
	if point == readings.Room {
		return ofRoom(m)
	}
	var out []Value
	for _, name := range units.QuantityNames() {
		q, _ := units.QuantityNamed(name)
		if q == units.Suction || !told(m.Sys, q) {
			continue
		}
		if p, err := m.ProbeAt(point, q); err == nil {
			out = append(out, Value{q, s.Value(p.OnAxis())})
		}
	}
	return out
}

// told is whether the file says enough of the fan to expect a quantity of it: its
// speed, or for power and current its motor.
func told(sys *duct.System, q units.Quantity) bool {
	c := &sys.Collector
	switch q {
	case units.FanSpeed:
		return c.Rated > 0
	case units.MotorPower, units.MotorCurrent:
		return c.Guess != nil && c.Guess.Motor > 0
	}
	return true
}

// ofRoom is the air of the file; nothing where it says nothing of the air.
func ofRoom(m *airflow.Model) []Value {
	a := m.Sys.Air
	if a.Standard {
		return nil
	}
	p := a.Barometer
	if p == 0 {
		p = handbook.Barometer(a.Altitude)
	}
	out := []Value{{units.AirTemperature, a.Temperature}, {units.Barometer, p}}
	if a.Humidity > 0 {
		out = append(out, Value{units.Humidity, a.Humidity})
	}
	return out
}
