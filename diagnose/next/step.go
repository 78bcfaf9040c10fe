package next

import (
	"lostair/diagnose/fault"
	"lostair/diagnose/plan"
	"lostair/readings"
	"lostair/readings/units"
)

// Step is a reading that could still be taken, or a thing to look at. It can be
// written as a row of the survey as it stands.
type Step struct {
	Point    string         // tap, port or reserved point; of a look a gate or duct as well
	Quantity units.Quantity // NoQuantity of a look
	LookAt   readings.Look  // "" of a reading
	Open     readings.Open
	HoseOff  []string       // ports whose machine is unhooked while reading
	NewTap   *plan.NewTap   // the hole to drill; Point is the id that it gets; nil: the point is there
	Again    bool           // it stands in the survey already
	Range    fault.Interval // what nine in ten sound systems show, SI; none of a look
	Bits     float64        // expected information about which fault it is
	Pays     bool           // it is expected to save more minutes than it takes, or much is open and it tells
	Minutes  float64        // work it takes from where the last row was read
	Tells    []Explanation  // what a reading sets apart best: the first from the second; one alone: whether that is there as well
}

// Explanation is what the readings may come from: a fault, or a sound system.
type Explanation struct {
	Sound bool // no fault
	Kind  fault.Kind
	Where string
}

// Enough says whether more readings are worth their minutes.
type Enough struct {
	Yes  bool
	Risk float64          // chance that the first thing to do is not right
	Act  *fault.Candidate // what the first thing to do mends; nil: nothing is to be done
}
