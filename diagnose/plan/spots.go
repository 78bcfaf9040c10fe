package plan

import (
	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
	"lostair/readings/units"
)

// Minutes that a reading takes, in the setting and place where one stands.
// Common practice, no source.
const (
	MinutesTap    = 2.0
	MinutesMouth  = 3.0
	MinutesHole   = 12.0
	MinutesUnhook = 3.0 // on top
)

// NextConfig is a gate configuration to read in, with the ports it is about.
type NextConfig struct {
	Cfg     airflow.Config
	Open    readings.Open
	HoseOff []string
	Ports   []int
	Unhook  float64
}

// SpotToRead is a point with the words and minutes for it.
type SpotToRead struct {
	Point   string
	Q       units.Quantity
	Probe   airflow.Probe
	Minutes float64
	Hole    *NewTap // to be drilled; nil: the point is there
}

// YetToRead is the observation that a reading at a spot would be.
func YetToRead(s *fit.Study, sp SpotToRead, y float64) observe.Observation {
	o := observe.Observation{Probe: sp.Probe, Y: y, TapIx: -1, AxisIx: -1, GainIx: s.Day}
	in := instrumentFor(s, sp.Q)
	o.Errors(in, sp.Q, s.M.Air.Density, 1, 0)
	known := false
	for i, id := range s.B.Gains {
		if id == in.Id {
			o.GainIx, known = s.Own+i, true
		}
	}
	if !known {
		o.Fresh, o.Gain = o.Sd, 0 // an instrument that was not used yet
	}
	if x, ok := s.Taps[sp.Point]; ok && sp.Q == units.StaticPressure {
		o.TapIx = x
	}
	return o
}

// NewReadingSD is the error of a reading yet to be taken, with the instrument
// that the survey used for its like.
func NewReadingSD(s *fit.Study, sp SpotToRead, y float64) float64 {
	in := instrumentFor(s, sp.Q)
	return in.Sigma(y, sp.Q, sp.Probe, s.M.Air.Density)
}

// instrumentFor is the instrument that a quantity would be read with: the first
// of its kind that the survey used, else the first of the page, else any.
func instrumentFor(s *fit.Study, q units.Quantity) observe.Instrument {
	in := observe.AnyOf(q)
	found := false
	for _, x := range s.M.Sys.Instruments {
		if x.Measures != in.Measures || found && (observe.UsedIn(s.B.Gains, in.Id) || !observe.UsedIn(s.B.Gains, x.ID)) {
			continue
		}
		in, found = observe.Instrument{Id: x.ID, Measures: x.Measures, OfReading: x.OfReading, Floor: x.Floor}, true
	}
	return in
}

// NewTap is a hole that could be drilled.
type NewTap struct {
	Duct string
	At   float64 // from the duct's upstream end, m
}
