package doubt

import (
	"slices"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
)

// Inputs are what a diagnosis is given, as people wrote it down.
type Inputs struct {
	Sys    *duct.System
	Survey *readings.Survey
	Bases  []*readings.Survey
}

// Mistake is one way in which what was written down is not what was. It turns
// what was given into what it should have been; the turned inputs are searched
// like any others, so a mistake is weighed beside faults and together with them.
type Mistake struct {
	Said  []fault.Written // what the result says of it: an entry each
	Prior float64         // probability before any reading
	// effect is what the mistake adds to the misfit of each reading, measured less
	// expected, at a base; nil: it can't be worked out there.
	effect func(b *base) []float64
	// spread, of a mistake that may be more or less: one standard deviation of how
	// many times the effect it is, before any reading; 0: it is once the effect.
	Spread float64
	Log    float64 // of the factor by which it scales all densities
	// logOn is the same of other readings, may be nil: it scales none.
	logOn  func(b *observe.Bound) float64
	light  bool    // what it does needs no solution
	page   bool    // it is of the system, so of the baselines too
	preset float64 // what it promises where that is known otherwise
	Sure   bool    // it is looked into whatever the screen promises
	// turn turns the inputs, the effect being so many times.
	Turn func(in *Inputs, times float64)
	// loosen gives a study further freedom, may be nil.
	Loosen func(s *fit.Study)
	// written turns a value as it should have been back into what would be
	// written, may be nil.
	Written func(r *readings.Reading, v, times float64) float64

	// measure fills in how much of it there is, may be nil.
	Measure func(s *fit.Study, f *fit.Fit, e *fault.Written)

	Times    float64 // how many times the effect it is
	Sd       float64 // standard deviation of that
	Promise  float64 // score at the best base
	ByPage   bool    // it was chosen for what it gains at the page
	PageGain float64 // nats it gains at the page
}

// LogOn is the log of the factor by which it scales the densities of these readings.
func (r *Mistake) LogOn(b *observe.Bound) float64 {
	if r.logOn == nil {
		return 0
	}
	return r.logOn(b)
}

// How likely it is, before any reading, that something was written down wrong.
// Common practice, no source.
const (
	AlwaysPrior  = 0.02 // that one gate stood otherwise than written in every setting
	OffsetPrior  = 0.02 // that a manometer's zero was off all along
	OffsetSpread = 15.0 // by how much it then is, Pa, one sigma
	SwapPrior    = 0.02 // that two taps were taken for one another
	FanPrior     = 0.06 // that the page has another fan's curve
	FanSpread    = 0.12 // by how much its pressure is then off, as a share, one sigma
	LengthPrior  = 0.03 // that one length on the page is far off
	BranchPrior  = 0.03 // that an open branch joins which the page lacks
	SeasonPrior  = 0.2  // that a baseline was taken in another season's air, where neither survey tells the air
	SeasonSpread = 0.04 // by how much its density is then another, as a share, one sigma
)

// copyRows copies a survey whose rows and readings are to be changed.
func copyRows(s *readings.Survey) *readings.Survey {
	now := *s
	now.Rows, now.Readings = slices.Clone(s.Rows), slices.Clone(s.Readings)
	return &now
}

// onRows changes the rows of a survey, and the readings made from them, for
// which the reading says so.
func onRows(s *readings.Survey, these func(r *readings.Reading) bool, change func(r *readings.Reading, rows []*readings.Row)) *readings.Survey {
	now := copyRows(s)
	for i := range now.Readings {
		r := &now.Readings[i]
		if !these(r) {
			continue
		}
		var rows []*readings.Row
		for _, k := range r.Rows {
			rows = append(rows, &now.Rows[k])
		}
		change(r, rows)
	}
	return now
}
