// Package verified shows whether a system gives what it was designed for.
package verified

import (
	"io"

	"lostair/report"
	"lostair/report/show"
)

// Verification is an install held against its design, in the reader's units.
type Verification struct {
	Version        int               `json:"version"` // see Version
	System         report.System     `json:"system"`
	Survey         report.Survey     `json:"survey"`
	Summary        string            `json:"summary"`              // in one sentence
	Design         string            `json:"design"`               // whether the design itself meets its demands, in words
	Built          []string          `json:"built"`                // whether it was built as designed: what differs, in words; empty: nothing that the readings show
	Page           []report.Written  `json:"page"`                 // what was written down and the readings contradict, likeliest first
	FailedByDesign int               `json:"failed_by_design"`     // of Failed: those that the design itself does not meet
	Untold         bool              `json:"untold,omitempty"`     // the readings are most likely not what they say they are, and decide nothing
	Unfinished     bool              `json:"unfinished,omitempty"` // the work was stopped before its end, and nothing is decided
	Passed         int               `json:"passed"`               // lines, by outcome
	Failed         int               `json:"failed"`               //
	NotShown       int               `json:"not_shown"`            //
	Air            show.Amount       `json:"air"`                  // density used
	Tolerance      float64           `json:"tolerance"`            // of flows and pressures against design, as a share
	FilterTimes    float64           `json:"filter"`               // multiple of the clean drop that the system must bear
	Convey         ConveyLimits      `json:"conveying"`            // slowest air that carries the dust
	Asked          []string          `json:"asked"`                // settings of the gates that were named
	Lines          []Line            `json:"lines"`                // one a demand
	Carry          []CarryNeed       `json:"carry"`                // gates that alone leave dust lying in a main
	Fan            *FanPlace         `json:"fan,omitempty"`        // absent if it could not be worked out
	Sizes          []SizeNeed        `json:"sizes"`                // drops that are too small even without a fault
	TooSmall       []report.TooSmall `json:"too_small"`            // the same as ports, with the size to buy
	Instruments    []Instrument      `json:"instruments"`          // used in the survey
	Faults         []report.Fault    `json:"faults"`               // that the diagnosis of the same readings asserts; drops too small by design are in Sizes
	Method         []string          `json:"method"`               // how it was judged
	Cautions       []string          `json:"cautions"`
	Kept           string            `json:"kept,omitempty"` // what lostair show makes it from again, packed by package kept; for this program alone

	inUse   bool   // the system file names the gate settings in use
	figures string // whose figures the design goes by
}

// ConveyLimits are the slowest velocities that carry the dust.
type ConveyLimits struct {
	Branch show.Amount `json:"branch"`
	Main   show.Amount `json:"main"`
	Source string      `json:"source"`
}

// Line is one demand and whether it is met.
type Line struct {
	Topic    string         `json:"topic"`               // port-need, port-design, carrying, pressure, fan, filter-room or no-fault
	Where    string         `json:"where,omitempty"`     // port, duct, tap or "fan"; absent of the whole system
	Open     string         `json:"open,omitempty"`      // gates open; absent where it does not matter
	Value    *show.Interval `json:"value,omitempty"`     // as built; absent where the demand is judged by probability alone
	Least    float64        `json:"least,omitempty"`     // it must be, in the unit of Value
	Most     float64        `json:"most,omitempty"`      // it may be; absent if there is no upper end
	Design   float64        `json:"design,omitempty"`    // by the system file; absent if the demand has none
	Holds    float64        `json:"holds"`               // probability that the demand is met, 0 to 1
	ByDesign bool           `json:"by_design,omitempty"` // the design itself does not meet it, however well it is built
	Outcome  string         `json:"outcome"`             // pass (Holds at least 0.95), fail (at most 0.05) or not shown
	Show     string         `json:"show,omitempty"`      // the reading that would show it; absent if decided
	Remark   string         `json:"remark,omitempty"`
}

// CarryNeed is a gate that alone leaves dust lying in a main.
type CarryNeed struct {
	Port     string     `json:"port"`
	Open     string     `json:"open"`
	Slow     []SlowDuct `json:"slow"`
	Together []string   `json:"together"` // gates to open with it; empty: no set of up to three would do
	Short    []string   `json:"short"`    // ports that get less than they need then
	Clear    []string   `json:"clear"`    // if Together is empty: gates that clear the main afterwards, the machine idle; empty: none do
}

// SlowDuct is a main in which the air is too slow.
type SlowDuct struct {
	Duct     string  `json:"duct"`
	Velocity float64 `json:"velocity"`
	Least    float64 `json:"least"`
	Unit     string  `json:"unit"`
}

// FanPlace is where on its curve the fan runs.
type FanPlace struct {
	Open     string         `json:"open"`
	Flow     *show.Interval `json:"flow"`
	Pressure *show.Interval `json:"pressure"`
	OfFree   float64        `json:"of_free,omitempty"` // share of the flow at the curve's end; absent if the curve is a guess
	OfPeak   float64        `json:"of_peak,omitempty"` // share of the highest pressure
	Bears    float64        `json:"bears,omitempty"`   // multiple of the clean filter drop at which the first port falls short; absent if one does already
	First    string         `json:"first,omitempty"`   // that port
}

// SizeNeed is a drop that is too small.
type SizeNeed struct {
	Port        string         `json:"port"`
	Duct        string         `json:"duct"`
	Probability float64        `json:"probability"`
	Diameter    *show.Interval `json:"diameter,omitempty"` // that would do
}

// Instrument is what was read with.
type Instrument struct {
	ID        string      `json:"id"`
	Measures  string      `json:"measures"`
	OfReading float64     `json:"of_reading"` // 95 % limit, share of the reading
	Floor     show.Amount `json:"floor"`      // 95 % limit at least
}

func (v *Verification) of(topic string) []Line {
	var out []Line
	for _, l := range v.Lines {
		if l.Topic == topic {
			out = append(out, l)
		}
	}
	return out
}

// find is the line of a topic at a place.
func (v *Verification) find(topic, where string) *Line {
	for i := range v.Lines {
		if l := &v.Lines[i]; l.Topic == topic && l.Where == where {
			return l
		}
	}
	return nil
}

// JSON writes v as one indented object.
func JSON(w io.Writer, v *Verification) error { return show.Encode(w, v) }
