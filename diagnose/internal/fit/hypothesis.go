package fit

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
)

// Hypothesis is a set of faults and of wrong rows.
type Hypothesis struct {
	Faults []*fault.Variant
	Rows   []*Wrong
}

// Wrong is a row taken to be mistaken in one definite way.
type Wrong struct {
	Observation int
	Y           float64        // the value that would fit, if it is known
	Gain        float64        // of the instrument at that value
	Fresh       float64        // likewise
	Drop        bool           // nothing is known of what it should have been
	Cfg         int            // configuration in which it was really read, or -1: it is the value that is wrong
	Probe       *airflow.Probe // where it was really read, nil: as written
	Total       bool           // it is a total pressure, not a static one
	Log         float64        // log of |dy/d(written)|, or of the density if dropped
	Prior       float64
	Reason      fault.Slip
	Coarse      bool // out by a unit, a sign or a decimal place
}

// Status is how a fit ended.
type Status uint8

const (
	Failed  Status = iota // it could not be predicted or weighed
	GivenUp               // on the way: it will not come near the floor
	Short                 // after as many steps as there are, or where steps gain nothing
	Settled               // a further step would gain nothing
)

// Fit is a hypothesis fitted to the readings.
type Fit struct {
	Hypothesis
	At       Point
	Evidence float64 // log p(readings | hypothesis), severities and θ marginalised
	Prior    float64 // log
	Key      string  // of the hypothesis
	Swap     [2]int  // which variant was put in place of which
	Status   Status
	Grown    bool    // the search has grown from it
	Asked    bool    // what else its wrong rows may be was asked
	Fit      *Detail // at the last linearisation
	Both     *Fit    // fitted to the survey and a baseline at once
	Gain     float64 // of evidence by that
	Apart    bool    // that could not be
}

// Ok is whether it came to an end that can be weighed.
func (f *Fit) Ok() bool { return f.Status >= Short }

// Settled is whether a further step would gain nothing.
func (f *Fit) Settled() bool { return f.Status == Settled }

// GivenUp is whether it was given up on the way.
func (f *Fit) GivenUp() bool { return f.Status == GivenUp }

// Score is the log of what the hypothesis weighs: its evidence with its priors.
func (f *Fit) Score() float64 {
	if !f.Ok() || math.IsNaN(f.Evidence) {
		return math.Inf(-1)
	}
	return f.Evidence + f.Prior
}

// Slip tells whether it is the written value that is wrong, in a known way.
func (w *Wrong) Slip() bool { return !w.Drop && w.Cfg < 0 }
