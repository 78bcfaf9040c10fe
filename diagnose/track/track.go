package track

import (
	"math"
	"time"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/repairs"
	"lostair/readings/units"
)

// Options steer the tracking of a system. The zero Options is the usual one.
type Options struct {
	Baselines []*readings.Survey // surveys of the sound system; none: the first ones of the history are taken as sound
	Reference int                // how many of the first surveys are taken as sound, if there are no Baselines; 0: a quarter of them, 1 to 8
	Repairs   []repairs.Repair   // the log of repairs, if there is one
	Full      int                // how many of the newest surveys are diagnosed in full, beside those in which something new was first seen; 0: one; negative: none at all
}

// History is a system over its surveys. All values are SI.
type History struct {
	System   *duct.System
	Surveys  []Survey  // by date
	Series   []Series  // ports, then filter and fan, then leaks and what stands in the way
	Signals  []Signal  // what has moved, first seen first
	Episodes []Episode // what broke and what was mended, oldest first
	PerYear  float64   // surveys a year
	Doubts   []fault.Doubt

	Unfinished bool // the work was stopped before its end: no episodes, and no survey diagnosed in full
}

// Survey is one survey of the history.
type Survey struct {
	Survey    *readings.Survey
	Date      time.Time
	Reference bool             // taken as sound
	Wrong     []WrongRow       // rows set aside
	Misfit    float64          // how far what is left lies off the fit, per reading; about 1 or less
	Result    *diagnose.Result // the full diagnosis against the reference; nil: not asked for
}

// WrongRow is a row that fits nothing else that was read.
type WrongRow struct {
	Row    *readings.Row
	Fits   float64 // value that would fit
	Reason fault.Slip
}

// Gauge is what a series follows.
type Gauge uint8

const (
	FlowShare  Gauge = iota // flow of a port with its own gates open, as share of that in the reference
	FilterDrop              // drop of the filter at the same flow, as a multiple of that in the reference
	FanSpeed                // speed of the fan as share of that in the reference
	LeakArea                // open area beyond that in the reference, m²
	InTheWay                // loss added at a port's hood, hose or gate, in velocity pressures of its duct
)

var gauges = [...]struct {
	name string
	dim  units.Dimension
	one  bool // a ratio, worked with as its logarithm
}{
	FlowShare:  {"port-flow", units.Share, true},
	FilterDrop: {"filter-drop", units.Multiple, true},
	FanSpeed:   {"fan-speed", units.Share, true},
	LeakArea:   {"leak-area", units.Area, false},
	InTheWay:   {"in-the-way", units.Number, false},
}

// String is the gauge's name in the outputs.
func (g Gauge) String() string { return gauges[g].name }

// Dimension is that of the gauge's values.
func (g Gauge) Dimension() units.Dimension { return gauges[g].dim }

// value turns what is charted into a value.
func (g Gauge) value(x float64) float64 {
	switch {
	case g == FilterDrop:
		r := math.Max(1+x/2, 0)
		return r * r
	case gauges[g].one:
		return math.Exp(x)
	}
	return x
}

// charted is the inverse of value.
func (g Gauge) charted(v float64) float64 {
	switch {
	case g == FilterDrop:
		return 2*math.Sqrt(math.Max(v, 0)) - 2
	case gauges[g].one:
		return math.Log(math.Max(v, 1e-9))
	}
	return v
}

// Series is one indicator over the surveys.
type Series struct {
	Gauge  Gauge
	Where  string   // port, "filter", "fan", "bin", or the ids of a zone's ducts joined with ", "
	Ducts  []string // of a zone
	Points []Point  // one a survey
	Signal int      // index into Signals, or -1
	Sound  float64  // of a port: its flow in the reference, m³/s
	Need   float64  // of a port, m³/s; 0: none stated
}

// Point is an indicator as one survey shows it.
type Point struct {
	Known        bool // the survey says something of it
	Value        fault.Interval
	Average      float64 // weighted moving average (EWMA)
	Lower, Upper float64 // its control limits
	Charted      bool    // Average and limits hold
}

// Signal is an indicator that has left its control limits.
type Signal struct {
	Series int
	Survey int    // in which it was first seen
	Chart  string // "EWMA" or "CUSUM"
	Up     bool   // the indicator rose
	Alike  []int  // series that explain the readings about as well
	Jumps  []Jump // later steps, such as repairs
	Over   bool   // back within the limits

	Jumped bool   // it came at once; else it grew
	Began  [3]int // survey with which it began: likeliest, earliest, latest (90 %)
	Now    fault.Interval
	Rate   fault.Interval // change a week, of a ratio as a factor
	Limits []Reach
}

// Jump is a step of an indicator between two surveys.
type Jump struct {
	Survey   int // first one after it
	From, To float64
}

// Reach says when an indicator will cross a limit at the present rate.
type Reach struct {
	Limit float64
	Port  string         // which then gets too little
	What  string         // "need" or "half"
	Days  fault.Interval // after the last survey; High of 3652 or more: perhaps never
	Sure  bool           // it is likelier than not to cross
}
