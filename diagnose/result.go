package diagnose

import (
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/next"
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

// OfSystem says that a fault is one to look for in the shop.
func OfSystem(f Fault) bool { return f.Kind != fault.Undersized && f.Kind != fault.ReadingWrong }

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

// Fix is something to do, with what it would gain.
type Fix struct {
	For     []fault.Candidate // the faults it mends: the one asserted, and what these readings can't distinguish from it
	Cost    int               // 1 minutes and tape, 2 an hour, 3 parts, 4 a rebuild
	Gains   []Gain            // ports in which the flow changes, largest first
	Hint    Hint              // a smaller change that would do as well
	Stretch []string          // hoses that are to be cut to length, of CutTheHose
	Small   *TooSmall         // of a drop that is too small: what to buy; nil: no wider one brings more, or it is another fault
}

// Hint is a smaller change that may do in place of a wider duct.
type Hint uint8

// The hints. Saved results hold their numbers, so a new one comes last.
const (
	NoHint      Hint = iota
	HalfTheHose      // half the length of hose
	PipeForHose      // smooth pipe in place of the hose
	EasyBends        // bends of LongRadius on the port's way
	CutTheHose       // the hoses cut to length, so that they hang stretched out
)

// TooSmall is a port that gets less than it needs even without a fault, and the
// size to buy.
type TooSmall struct {
	Port        string
	Where       string // the duct that costs most
	Probability float64
	Ducts       []string       // to be replaced, from the port on: all that are narrower than Buy
	Buy         float64        // diameter, m: a standard size, no wider than what it flows into; 0: none brings more
	Open        readings.Open  // the setting in which it gets least
	Need        float64        // m³/s
	Now, Then   fault.Interval // m³/s in that setting: without a fault, and with Buy as well
	Meets       bool           // Then reaches the need; else no standard size that fits there does
	Slow        *Slowed        // what Buy slows most below its conveying velocity; nil: nothing
}

// Slowed is a duct that carries its dust now and would no longer, made wider.
type Slowed struct {
	Duct            string
	Open            readings.Open // the setting in use in which it is slowest
	Velocity, Least float64       // then, and the conveying velocity, m/s
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

// Fragile is a prior with which, at half or twice what it is taken to be, the
// first answer is another.
type Fragile struct {
	Prior PriorOf
	Kind  fault.Kind // of OfKind
	By    float64    // half or twice
	Then  *fault.Candidate
}

// PriorOf is what a prior is of.
type PriorOf uint8

const (
	OfKind     PriorOf = iota // faults of one kind
	OfAllKinds                // faults of every kind
	OfRows                    // wrong rows
	OfUnlisted                // troubles on no list
)

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
	Next       []next.Step
	Enough     next.Enough
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
