package track

import (
	"lostair/diagnose/fault"
	"lostair/readings/repairs"
	"lostair/readings/units"
)

// Episode is one thing that was wrong for a time: what, where, since when, until
// when, and how bad it was last.
type Episode struct {
	fault.Candidate                   // the likeliest kind and place, with its probability
	Alike           []fault.Candidate // what these surveys can't tell from it, likeliest first
	Together        float64           // probability that it is this one or one of Alike
	From            Moment            // the first survey that shows it
	To              *Moment           // the first survey without it; nil: it is still there
	EndedBy         string            // "repair" or "unknown"; "" while it lasts
	Repair          *repairs.Repair   // the entry of the log that ended it
	Severity        fault.Interval    // when last seen, SI
	Dimension       units.Dimension
	Grew, Fell      bool // its severity rose, or fell by half and more, while it lasted
}

// Moment is a survey among the dated ones, with the range that holds the truth
// nine times in ten.
type Moment struct {
	Survey, Low, High int // indices into History.Surveys
}
