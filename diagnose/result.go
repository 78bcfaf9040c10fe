package diagnose

import (
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/plan"
	"lostair/readings"
	"lostair/readings/units"
)

// Verdict is the answer in a word.
type Verdict string

const (
	Clear   Verdict = "clear"   // most likely nothing that matters is broken
	Faults  Verdict = "faults"  // at least one fault is asserted
	Unclear Verdict = "unclear" // something that matters is probably wrong, the readings do not say what
)

// Fault is an asserted fault.
type Fault struct {
	fault.Candidate
	Together  float64 // probability that it is this one or one of Alike
	Severity  fault.Interval
	Dimension units.Dimension   // of Severity
	Alike     []fault.Candidate // what these readings can't distinguish from it, likeliest first
	Evidence  []Evidence        // the readings that speak for it, strongest first
	Fix       *Fix
	Row       *readings.Row // of ReadingWrong
	Slip      fault.Slip    // of ReadingWrong: how it came about
	Port      string        // of Undersized: that gets too little
}

// Evidence is one reading seen three ways, SI.
type Evidence struct {
	Reading   int     // index into Result.Checks
	Measured  float64 // as read
	Sound     float64 // expected without this fault, the others still there
	WithFault float64 // expected with this fault
	Sigma     float64 // standard deviation of the sound expectation and the reading together
}

// Check compares one reading, or one repeat of it, with what a sound system
// would give.
type Check struct {
	Reading  readings.Reading // its Rows are those of this check alone
	Measured float64          // SI
	Expected float64          // without faults, the system as built being as the best explanation of all readings has it
	Sigma    float64          // standard deviation of a fresh reading there if the system is sound: what all readings, this one too, leave open, and the error that is fresh in each
	Fitted   float64          // by the best explanation, its faults included
	Wrong    bool             // left out of the diagnosis as a wrong row
}

// PortFlow is one port in one gate configuration of the survey.
type PortFlow struct {
	Port     string
	Open     readings.Open
	Flow     fault.Interval // m³/s
	Expected float64        // m³/s in a sound system
	Need     float64        // m³/s; 0: none stated
}

// Next is a reading that could still be taken, or a thing to look at. It can be
// written as a row of the survey as it stands.
type Next struct {
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

// Fix is something to do, with what it would gain.
type Fix struct {
	For     []fault.Candidate // the faults it mends: the one asserted, and what these readings can't distinguish from it
	Cost    int               // 1 minutes and tape, 2 an hour, 3 parts, 4 a rebuild
	Gains   []Gain            // ports in which the flow changes, largest first
	Hint    Hint              // a smaller change that would do as well
	Stretch []string          // hoses that are to be cut to length, of CutTheHose
	Small   *TooSmall         // of a drop that is too small: what to buy; nil: no wider one brings more, or it is another fault
}

// Gain is what a fix does to one port.
type Gain struct {
	Port   string
	Open   readings.Open
	Before float64        // m³/s
	After  fault.Interval // m³/s
	Need   float64
}

// Group is a set of faults that these readings can't tell apart.
type Group struct {
	Members  []fault.Candidate // likeliest first
	Together float64           // probability that at least one is present
}

// Result is a diagnosis. All values are SI.
type Result struct {
	System     *duct.System
	Survey     *readings.Survey
	Baselines  []*readings.Survey
	Verdict    Verdict
	Sound      float64 // probability that none of the kinds but Undersized and ReadingWrong is present
	Mistaken   float64 // probability of that, or that something was written down wrong
	Broken     float64 // probability that something that matters is broken, or that the system is not as given
	Unlisted   float64 // probability of something that is not on the list
	Faults     []Fault
	Candidates []fault.Candidate // of at least 0.1 %, likeliest first
	Groups     []Group           // candidates that can't be told apart; each candidate is in at most one
	Ports      []PortFlow
	Fitted     []fault.Candidate // the faults of the best explanation, by which Check.Fitted goes; none: a sound system's
	Checks     []Check           // in order of the survey: one a reading; of up to four repeats one each, more are averaged into one
	Next       []Next
	Enough     Enough
	Fixes      []Fix           // all, in the order to do them
	AllFixed   []Gain          // what all Fixes bring together, largest gain first; of fewer than two nothing
	TooSmall   []TooSmall      // ports that get too little even without a fault, in order of the system file
	Doubts     []fault.Doubt   // what weakens this result, and what would help
	Fragile    []Fragile       // by which priors the first answer changes
	Instead    fault.Doubt     // of Doubts: what is likelier than all else together and no fault of the system; NoDoubt: nothing is
	Fan        *FanEnds        // what the readings tell of the curve of a fan whose file has none; nil: the file has one
	Page       []fault.Written // what was written down and the readings contradict, likeliest first
	Unfinished bool            // the work was stopped before its end: nothing is asserted, and half of all probability is left to what was not looked at
	Shows      []plan.Shown    // of a clear verdict: the smallest fault of each kind that these readings would show; smaller ones may hide
}
