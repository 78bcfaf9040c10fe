package html

import (
	"math"

	"lostair/diagnose"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/figure"
	"lostair/report/show"
)

// left is how a reading differs from what it is held against on the drawing: a
// sound system or, where faults are asserted, the system with them.
type left struct {
	against float64
	share   float64 // of what it is held against, more suction, air or drop above 0
	off     bool    // more than instrument and system as built leave open
	verdict figure.Deviation
}

// A reading is coloured if it differs by so much of what it is held against.
// Common practice, no source: balancing by hand seldom comes nearer.
const (
	colouredAt    = 0.10
	farColouredAt = 0.25
)

// withFaults says that what was read is held against the system with its faults.
func withFaults(d *diagnose.Result) bool {
	for _, f := range d.Faults {
		if diagnose.OfSystem(f) {
			return d.Unlisted <= report.MostUnlisted
		}
	}
	return false
}

func leftOf(c diagnose.Check, with bool) left {
	out := left{against: c.Expected, verdict: figure.Same}
	if with {
		out.against = c.Fitted
	}
	diff := c.Measured - out.against
	if c.Reading.Quantity == units.StaticPressure {
		diff = -diff
	}
	if a := math.Abs(out.against); a > 0 {
		out.share = show.Finite(diff / a)
	}
	out.off = c.Sigma > 0 && math.Abs(diff) >= show.OffAt*c.Sigma
	switch s := out.share; {
	case !out.off:
	case s <= -farColouredAt:
		out.verdict = figure.FarLess
	case s <= -colouredAt:
		out.verdict = figure.Less
	case s >= farColouredAt:
		out.verdict = figure.FarMore
	case s >= colouredAt:
		out.verdict = figure.More
	}
	return out
}
