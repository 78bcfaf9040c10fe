package report

import (
	"lostair/report/finding"
	"lostair/report/show"
)

// Version is the version of the JSON form of a Result. It grows by one when a
// key changes its meaning or goes; new keys don't change it.
const Version = 1

// Result is a diagnosis in the reader's units, ready to be shown. All ids are
// as in the user's files.
type Result struct {
	Version    int         `json:"version"`              // of this form, see Version
	System     System      `json:"system"`               // what was diagnosed
	Survey     Survey      `json:"survey"`               // the readings that it was diagnosed from
	Baselines  []Survey    `json:"baselines,omitempty"`  // earlier surveys of the sound system, in the order given
	Verdict    string      `json:"verdict"`              // "clear": most likely nothing that matters is broken; "faults": at least one is asserted; "unclear": something that matters is wrong and the readings don't say what, or the work is unfinished
	Unfinished bool        `json:"unfinished,omitempty"` // the work was stopped before its end: what is known so far, which asserts nothing; the same input may then give another result
	Summary    string      `json:"summary"`              // the verdict in one sentence
	Faulty     float64     `json:"-"`                    // probability that something that matters is broken, whatever was written down wrong
	Sound      float64     `json:"sound"`                // probability that nothing is wrong but undersized drops and wrong rows, 0 to 1
	Broken     Broken      `json:"broken"`               // that something that matters is broken or was written down wrong
	Unlisted   float64     `json:"unlisted"`             // probability of something that is not on the list of kinds, 0 to 1
	Instead    string      `json:"instead,omitempty"`    // of an unclear verdict: what is likelier than all else together and no fault of the system
	Faults     []Fault     `json:"faults"`               // those asserted, likeliest first
	Candidates []Candidate `json:"candidates"`           // every kind and place of at least 0.001, likeliest first
	Ports      []Port      `json:"ports"`                // flow at each port in each gate configuration of the survey
	Next       []Next      `json:"next"`                 // what to read or look at next, best first
	Enough     Sufficiency `json:"enough"`               // whether more readings are worth their minutes
	Fixes      []Fix       `json:"fixes"`                // what to do, in the order to do it
	Checks     []Check     `json:"checks"`               // each reading that could be worked out, beside what a sound system would give, in order of the survey
	Doubts     []string    `json:"doubts"`               // what weakens this result, and what would help
	Page       []Written   `json:"page"`                 // what was written down and the readings contradict, likeliest first
	Shows      []Shown     `json:"shows,omitempty"`      // only with verdict "clear": the smallest fault of each kind that these readings would show; smaller ones may hide
	Cautions   []string    `json:"cautions"`             // what to mind before acting on this result
	Answer     Answer      `json:"answer"`               // the first things to know, in words
	TooSmall   []TooSmall  `json:"too_small"`            // ports that get too little even without a fault
	AllFixed   []Gain      `json:"all_fixed,omitempty"`  // ports whose flow all fixes together change; absent of fewer than two fixes
	Fan        *FanEnds    `json:"fan,omitempty"`        // what the readings tell of the curve of a fan whose file has none
	Kept       string      `json:"kept,omitempty"`       // what lostair show makes it from again, packed by package kept; for this program alone
}

// System names the system file.
type System struct {
	Name  string `json:"name"`            // as the file gives it; may be empty
	File  string `json:"file"`            // as the user named it
	Units string `json:"units"`           // "metric" or "us": of the values in this result
	Ducts []Duct `json:"ducts,omitempty"` // of a diagnosis: the tree, in order of the file
}

// Duct is a run of one diameter.
type Duct struct {
	ID       string       `json:"id"`
	Into     string       `json:"into"`             // the duct that it flows into, or "collector"
	Diameter show.Amount  `json:"diameter"`         // of a rectangular duct that of a round one of the same area
	Width    *show.Amount `json:"width,omitempty"`  // of a rectangular duct
	Height   *show.Amount `json:"height,omitempty"` // of a rectangular duct
	Gate     string       `json:"gate,omitempty"`   // absent if it has none
	Port     string       `json:"port,omitempty"`   // at its upstream end; absent if there is none
}

// TooSmall is a port that gets too little even without a fault.
type TooSmall struct {
	Port        string         `json:"port"`
	Where       string         `json:"where"` // the duct that costs most
	Probability float64        `json:"probability"`
	Open        string         `json:"open"`            // the setting in use in which it gets least
	Need        float64        `json:"need"`            // in the unit of Then
	Buy         *show.Amount   `json:"buy,omitempty"`   // diameter to buy, a standard size; absent if no wider one brings more
	Ducts       []string       `json:"ducts,omitempty"` // to be replaced: all that are narrower
	Then        *show.Interval `json:"then,omitempty"`  // flow with it, without a fault
	Meets       bool           `json:"meets"`           // Then reaches the need
	Slow        *Slowed        `json:"slow,omitempty"`  // what Buy slows most below its conveying velocity; absent if nothing
}

// Slowed is a duct that carries its dust now and would no longer, made wider.
type Slowed struct {
	Duct     string      `json:"duct"`
	Open     string      `json:"open"`     // the setting in use in which it is slowest
	Velocity show.Amount `json:"velocity"` // then
	Least    show.Amount `json:"least"`    // the conveying velocity
}

// FanEnds are the two ends of a fan's curve.
type FanEnds struct {
	MostAir     show.Interval `json:"most_air"`     // flow at no fan static pressure
	MostSuction show.Interval `json:"most_suction"` // fan static pressure at no flow
}

// Broken says how likely it is that something that matters is wrong: a fault that
// takes 5 % or more of a port's air in a setting in use or that the readings speak
// for, or a system that is not as its page has it.
type Broken struct {
	Probability float64 `json:"probability"` // 0 to 1
}

// Survey names a readings file.
type Survey struct {
	File     string `json:"file"`            // as the user named it; "-": standard input
	Rows     int    `json:"rows"`            // usable lines
	Readings int    `json:"readings"`        // what they reduce to, repeats and traverses gathered
	First    string `json:"first,omitempty"` // earliest date in it, ISO; absent if no row is dated
	Last     string `json:"last,omitempty"`  // latest date in it, ISO; absent if no row is dated
}

// Candidate is a possible fault.
type Candidate struct {
	Kind        string  `json:"kind"`            // by the name of the kind
	Where       string  `json:"where"`           // id of the duct, port or gate; "bin", "filter", "fan", or "row N"
	Probability float64 `json:"probability"`     // that it is present, 0 to 1, given the readings
	Name        string  `json:"name"`            // the fault in words, a noun phrase
	Share       float64 `json:"share,omitempty"` // of the chance of the group that it is in: the shares of its members sum to Together

	Alike []Candidate `json:"alike,omitempty"` // what these readings can't distinguish from it; absent if there is nothing
}

// Fault is a fault that is asserted.
type Fault struct {
	Candidate
	Together float64        `json:"together"`           // probability that it is this one or one of Alike
	Severity *show.Interval `json:"severity,omitempty"` // how bad; absent if the readings don't say
	HowBad   string         `json:"how_bad,omitempty"`  // the severity in words; absent with Severity
	Alike    []Candidate    `json:"alike"`              // what these readings can't distinguish from it, likeliest first
	Zone     string         `json:"zone,omitempty"`     // where to search, in words; absent if Where says all
	Why      string         `json:"why,omitempty"`      // of a wrong row: what went wrong in writing it; of an undersized duct: the port that gets too little; else absent
	Row      *Row           `json:"row,omitempty"`      // of a wrong row: the row; else absent
	Evidence []Evidence     `json:"evidence,omitempty"` // readings that speak for it, strongest first; absent if not worked out
	Do       string         `json:"do"`                 // what to do about it
	Gains    []Gain         `json:"gains,omitempty"`    // ports whose flow that changes, largest gain first; absent if not worked out
	Mistakes []Candidate    `json:"-"`                  // what may have been written down wrong in its place, likeliest first; in JSON the last of Alike
}

// Row is a line of the readings file as it was written.
type Row struct {
	File     string `json:"file"`
	Line     int    `json:"line"` // header = line 1
	Open     string `json:"open"` // gates open: ids joined with "+", "all" or "none"
	Point    string `json:"point"`
	Quantity string `json:"quantity"`
	Value    string `json:"value"`          // as typed
	Unit     string `json:"unit,omitempty"` // that held; absent for a number without unit
}

// Reading says which reading is meant.
type Reading struct {
	Lines    []int  `json:"lines"` // of the readings file, repeats and traverse positions included
	Open     string `json:"open"`
	Point    string `json:"point"`
	Quantity string `json:"quantity"`
	HoseOff  string `json:"hose_off,omitempty"` // ports whose machine was unhooked, joined with "+"; absent if none
}

// Evidence is one reading seen three ways.
type Evidence struct {
	Reading
	Measured  float64 `json:"measured"`
	Sound     float64 `json:"sound"`      // expected without this fault, the others still there
	WithFault float64 `json:"with_fault"` // expected with this fault
	Sigma     float64 `json:"sigma"`      // standard deviation of Measured less Sound
	Unit      string  `json:"unit"`       // of all four
}

// Check compares one reading with what a sound system would give.
type Check struct {
	Reading
	Measured float64 `json:"measured"`
	Expected float64 `json:"expected"`        // without faults, the system as built being as the best explanation has it
	Sigma    float64 `json:"sigma"`           // standard deviation of a fresh reading there if the system is sound, after all readings
	Fitted   float64 `json:"fitted"`          // by the best explanation, its faults included
	Unit     string  `json:"unit"`            // of all four
	Wrong    bool    `json:"wrong,omitempty"` // left out of the diagnosis as a wrong row; absent if not
}

// Places is how many decimals a reading beside its expectation has.
func (c Check) Places() int { return show.Places(2 * show.OffAt * c.Sigma) }

// Port is the flow at one port in one gate configuration.
type Port struct {
	Port     string         `json:"port"`
	Open     string         `json:"open"`               // gates open: ids joined with "+", "all" or "none"
	Flow     *show.Interval `json:"flow,omitempty"`     // as it is; absent if not worked out
	Expected *float64       `json:"expected,omitempty"` // in a sound system, in the unit of Flow; absent if not worked out
	Need     float64        `json:"need,omitempty"`     // what the machine needs, in the unit of Flow; absent if the system file doesn't say
	InUse    bool           `json:"in_use,omitempty"`   // a setting in use: one that the system file names; if it names none, the port's own gates alone
}

// Next is a reading that could still be taken, or a thing to look at. It can be
// written as a row of the survey as it stands; only a new tap goes into the
// system file first.
type Next struct {
	Point    string      `json:"point"`              // tap, port or reserved point; of a look a gate or duct as well
	Quantity string      `json:"quantity"`           // what to read, or the name of the look
	Open     string      `json:"open"`               // gates to open: ids joined with "+", "all" or "none"
	HoseOff  string      `json:"hose_off,omitempty"` // ports to unhook while reading, joined with "+"; absent if none
	Unit     string      `json:"unit,omitempty"`     // to read in; of a look only where it is answered by a number
	Range    *show.Range `json:"range,omitempty"`    // what nine in ten sound systems show, in Unit; absent for a look
	Look     string      `json:"look,omitempty"`     // of a look: the question, to be answered yes or no, or by a number where there is a Unit; absent for a reading
	NewTap   *NewTap     `json:"new_tap,omitempty"`  // the hole to drill first, whose id is Point; absent if the point is there
	Again    bool        `json:"again,omitempty"`    // true: it stands in the survey already; absent if not
	Bits     float64     `json:"bits"`               // information it is expected to give about which fault it is
	Minutes  float64     `json:"minutes"`            // work it takes from where the last row was read
	Why      string      `json:"why"`                // in one sentence
}

// NewTap is a hole to drill.
type NewTap struct {
	Duct string      `json:"duct"`
	At   show.Amount `json:"at"` // from the duct's upstream end
}

// Sufficiency says whether more readings are worth their minutes.
type Sufficiency struct {
	Yes  bool    `json:"yes"`  // more readings would hardly change what to do first
	Risk float64 `json:"risk"` // the chance that the first thing to do is not right, 0 to 1
	Why  string  `json:"why"`  // in one sentence
}

// Fix is something to do.
type Fix struct {
	For   []Candidate `json:"for"`            // faults that it mends
	Do    string      `json:"do"`             // in the trade's words
	Cost  int         `json:"cost"`           // 1: minutes and tape, 2: an hour, 3: parts, 4: a rebuild
	Gains []Gain      `json:"gains"`          // ports whose flow it changes, largest gain first
	Hint  string      `json:"hint,omitempty"` // a smaller change that may do instead; absent if there is none
	Else  string      `json:"else,omitempty"` // what to look at if nothing is found; absent if there is nothing
}

// Gain is what a fix does to the flow at one port.
type Gain struct {
	Port   string         `json:"port"`
	Open   string         `json:"open"`            // gates open: ids joined with "+", "all" or "none"
	Before float64        `json:"before"`          // flow now, in the unit of After
	After  *show.Interval `json:"after,omitempty"` // flow then; absent if not worked out
	Need   float64        `json:"need,omitempty"`  // what the machine needs, in the unit of After; absent if not stated
}

// Answer holds the first things to know, in words: every format starts with
// them.
type Answer struct {
	Broken   string   `json:"broken"`            // whether something is broken, and how sure that is
	TooSmall string   `json:"too_small"`         // whether something is too small by design, and how sure that is
	Written  string   `json:"written,omitempty"` // what was written down wrong, and what to look at; absent if nothing is likelier than not
	Rows     string   `json:"rows,omitempty"`    // of readings that look wrong; absent if none does
	Where    []string `json:"where,omitempty"`   // where to search, a fault an entry, likeliest first; absent if nothing is found
	Do       string   `json:"do,omitempty"`      // the first thing to do; absent if nothing is to be done
	Gain     string   `json:"gain,omitempty"`    // what that brings; absent if not worked out
	Read     string   `json:"read"`              // what to read next, or that enough is known
}

// Shown is the smallest fault of one kind that the round shows.
type Shown struct {
	Kind   string       `json:"kind"`
	Best   *show.Amount `json:"best,omitempty"`    // where it shows best; absent: nowhere
	BestAt string       `json:"best_at,omitempty"` // that place
	Usual  *show.Amount `json:"usual,omitempty"`   // at the middle one of the places; absent: at most places it does not show
	Blind  int          `json:"blind"`             // places where the round shows nothing of this kind
	Places int          `json:"places"`
}

// Written is something that was written down and the readings contradict.
type Written struct {
	Kind        string           `json:"kind"`                   // "as-built", "gate-setting", "instrument", "tap-swapped" or "baseline"
	Where       string           `json:"where"`                  // as-built: a duct, a port or "fan"; gate-setting: a gate; instrument: its id or the quantity of the column; tap-swapped: "A+B"; baseline: its file
	Probability float64          `json:"probability"`            // that it was written down wrong, 0 to 1
	Alike       []Alike          `json:"alike"`                  // what these readings can't distinguish from it, faults among it, likeliest first
	Together    float64          `json:"together"`               // that it is this or one of Alike
	Open        string           `json:"open,omitempty"`         // of a gate setting: as written; absent where it holds in every setting
	Stood       string           `json:"stood,omitempty"`        // of a gate setting: how the gate stood, "open" or "shut"
	Says        *finding.Measure `json:"says,omitempty"`         // what the system file says; absent if it says nothing
	Behaves     *MeasureBetween  `json:"behaves_like,omitempty"` // what the readings are like
	Factor      *show.Between    `json:"factor,omitempty"`       // of an instrument: how many times too much it shows
	Offset      *show.Interval   `json:"offset,omitempty"`       // of an instrument: by how much it shows too much
	Measured    bool             `json:"measured,omitempty"`     // of as-built: a row inside_diameter says so
	Name        string           `json:"name"`                   // in words, a sentence
	Look        string           `json:"look"`                   // what settles it in a minute
}

// Alike is what may be meant in place of something else: a fault, or something
// that was written down wrong.
type Alike struct {
	Kind        string  `json:"kind"`
	Where       string  `json:"where"`
	Probability float64 `json:"probability"`
	Name        string  `json:"name"`
}

// MeasureBetween is a Measure with its 90 % interval.
type MeasureBetween struct {
	finding.Measure
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}
