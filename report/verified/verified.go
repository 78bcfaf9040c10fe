// Package verified shows whether a system gives what it was designed for.
package verified

import (
	"fmt"
	"io"

	"lostair/diagnose/duct"
	"lostair/diagnose/verify"
	"lostair/readings"
	"lostair/readings/units"
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
	Air            report.Amount     `json:"air"`                  // density used
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
	Branch report.Amount `json:"branch"`
	Main   report.Amount `json:"main"`
	Source string        `json:"source"`
}

// Line is one demand and whether it is met.
type Line struct {
	Topic    string           `json:"topic"`               // port-need, port-design, carrying, pressure, fan, filter-room or no-fault
	Where    string           `json:"where,omitempty"`     // port, duct, tap or "fan"; absent of the whole system
	Open     string           `json:"open,omitempty"`      // gates open; absent where it does not matter
	Value    *report.Interval `json:"value,omitempty"`     // as built; absent where the demand is judged by probability alone
	Least    float64          `json:"least,omitempty"`     // it must be, in the unit of Value
	Most     float64          `json:"most,omitempty"`      // it may be; absent if there is no upper end
	Design   float64          `json:"design,omitempty"`    // by the system file; absent if the demand has none
	Holds    float64          `json:"holds"`               // probability that the demand is met, 0 to 1
	ByDesign bool             `json:"by_design,omitempty"` // the design itself does not meet it, however well it is built
	Outcome  string           `json:"outcome"`             // pass (Holds at least 0.95), fail (at most 0.05) or not shown
	Show     string           `json:"show,omitempty"`      // the reading that would show it; absent if decided
	Remark   string           `json:"remark,omitempty"`
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
	Open     string           `json:"open"`
	Flow     *report.Interval `json:"flow"`
	Pressure *report.Interval `json:"pressure"`
	OfFree   float64          `json:"of_free,omitempty"` // share of the flow at the curve's end; absent if the curve is a guess
	OfPeak   float64          `json:"of_peak,omitempty"` // share of the highest pressure
	Bears    float64          `json:"bears,omitempty"`   // multiple of the clean filter drop at which the first port falls short; absent if one does already
	First    string           `json:"first,omitempty"`   // that port
}

// SizeNeed is a drop that is too small.
type SizeNeed struct {
	Port        string           `json:"port"`
	Duct        string           `json:"duct"`
	Probability float64          `json:"probability"`
	Diameter    *report.Interval `json:"diameter,omitempty"` // that would do
}

// Instrument is what was read with.
type Instrument struct {
	ID        string        `json:"id"`
	Measures  string        `json:"measures"`
	OfReading float64       `json:"of_reading"` // 95 % limit, share of the reading
	Floor     report.Amount `json:"floor"`      // 95 % limit at least
}

// From puts a verification into the reader's units.
func From(v *verify.Report, u units.System) *Verification {
	r := report.From(v.Result, u)
	out := &Verification{Version: report.Version, System: r.System, Survey: r.Survey, Air: report.AmountOf(v.Density, units.Density, u), Tolerance: v.Tolerance,
		FilterTimes: v.Filter, Faults: notSizes(r.Faults, len(v.Sizes)), Cautions: r.Cautions, inUse: len(v.System.Settings) > 0, figures: figuresOf(v.System), Lines: []Line{}, Carry: []CarryNeed{}, Sizes: []SizeNeed{}, Instruments: instruments(v, u),
		Convey: ConveyLimits{report.AmountOf(v.Convey.Branch, units.Velocity, u), report.AmountOf(v.Convey.Main, units.Velocity, u), conveySource(v, u)}}
	for _, l := range v.Lines {
		if l.Topic == verify.NoFault && l.Outcome == verify.NotShown && r.FlowsHold() {
			look := "what lostair plan lists first, which finds small faults too"
			if len(r.Next) > 0 {
				look = show.Lower(report.NextWords(r.Next[0]))
			}
			out.add(l, look, u)
			continue
		}
		out.add(l, toReadWords(l.Show), u)
	}
	out.TooSmall = r.TooSmall
	out.Asked = show.Each(v.Asked, func(o readings.Open) string { return o.String() })
	for _, c := range v.Carry {
		out.Carry = append(out.Carry, carryNeed(c, u))
	}
	for _, x := range v.Sizes {
		out.Sizes = append(out.Sizes, SizeNeed{x.Port, x.Duct, show.Probability(x.Probability), report.IntervalOf(x.Diameter, units.Diameter, u)})
	}
	if f := v.Fan; f.Flow.Value > 0 {
		out.Fan = &FanPlace{f.Open.String(), report.IntervalOf(f.Flow, units.Flow, u), report.IntervalOf(f.Pressure, units.Pressure, u), show.Significant(f.OfFree), show.Significant(f.OfPeak), show.Significant(f.Bears), f.First}
	}
	out.Summary = verifySummary(out)
	if !r.FlowsHold() {
		out.Untold, out.Summary = true, "These readings don't show whether the install is as designed: they fit nothing that this program knows."
		if r.Instead != "" {
			out.Summary = "These readings don't show whether the install is as designed. " + r.Instead
		}
		if out.Unfinished = r.Unfinished; out.Unfinished {
			out.Summary = report.NotFinished
		}
	}
	out.Page = append([]report.Written{}, r.Page...)
	out.Design, out.Built = designWords(out), builtWords(out, r)
	out.Method = verifyMethod(v, u)
	return out
}

// toReadWords name the reading that would decide a line; "" if none is known.
func toReadWords(r *verify.ToRead) string {
	if r == nil {
		return ""
	}
	s := "the " + show.Quantity(r.Quantity.String()) + " at " + r.Point
	switch {
	case r.Mouth:
		s = "the " + show.Quantity(r.Quantity.String()) + " at the mouth of " + r.Point
	case r.Quantity == units.MeanVelocity:
		s += " by a traverse"
	}
	if r.ShutToo {
		return s + " with all gates shut, and with one open"
	}
	s += ", with " + readings.OpenWords(r.Open)
	if r.Better {
		s += ", several times or with an instrument that errs less"
	}
	return s
}

// remarkWords say why a line came out as it did; "" if it speaks for itself.
func remarkWords(l verify.Line) string {
	switch {
	case l.Unread != "":
		return "nothing that was read shows the air of " + l.Unread
	case l.Named != nil:
		return "the diagnosis names " + l.Named.Kind.String() + " at " + l.Named.Where
	}
	return ""
}

func (v *Verification) add(l verify.Line, toRead string, u units.System) {
	x := Line{Topic: l.Topic.String(), Where: l.Where, ByDesign: l.ByDesign(), Holds: show.Probability(l.Holds), Outcome: string(l.Outcome), Show: toRead, Remark: remarkWords(l)}
	if l.Topic != verify.FanOnCurve && l.Topic != verify.NoFault {
		x.Open, x.Value = l.Open.String(), report.IntervalOf(l.Value, l.Dimension, u)
		x.Least, x.Most, x.Design = show.Value(l.Least, l.Dimension, u), show.Value(l.Most, l.Dimension, u), show.Value(l.Design, l.Dimension, u)
	}
	switch l.Outcome {
	case verify.Pass:
		v.Passed++
	case verify.Fail:
		v.Failed++
		if x.ByDesign {
			v.FailedByDesign++
		}
	default:
		v.NotShown++
	}
	v.Lines = append(v.Lines, x)
}

func carryNeed(c verify.CarryNeed, u units.System) CarryNeed {
	out := CarryNeed{Port: c.Port, Open: c.Open.String(), Together: append([]string{}, c.Together...), Short: append([]string{}, c.Short...), Clear: append([]string{}, c.Clear...)}
	for _, s := range c.Slow {
		out.Slow = append(out.Slow, SlowDuct{s.Duct, show.Value(s.Velocity, units.Velocity, u), show.Value(s.Least, units.Velocity, u), units.Velocity.Symbol(u)})
	}
	return out
}

// instruments are those that the survey names; without a name the usual stand in.
func instruments(v *verify.Report, u units.System) []Instrument {
	used := map[string]bool{}
	for _, r := range v.Survey.Readings {
		used[r.Instrument] = true
	}
	out := []Instrument{}
	for _, in := range v.System.Instruments {
		if used[in.ID] {
			out = append(out, Instrument{in.ID, in.Measures.String(), in.OfReading, report.AmountOf(in.Floor, in.Measures, u)})
		}
	}
	return out
}

// verifySummary says what matters most first: air at the ports, dust, suction.
func verifySummary(v *Verification) string {
	var parts []string
	if n, of := v.count("port-need"); of > 0 {
		parts = append(parts, fmt.Sprintf("%d of %d ports are shown to get the air they need", n, of))
	}
	if n, of := v.count("port-design"); of > 0 {
		parts = append(parts, fmt.Sprintf("%d of %d the air by design", n, of))
	}
	alone, carried := 0, 0
	for _, s := range v.speeds() {
		if !v.isAlone(s.open) {
			continue
		}
		alone++
		if s.fail+s.unsure == 0 {
			carried++
		}
	}
	if alone > 0 {
		use := "with one port open"
		if v.inUse {
			use = "with the gates in use open"
		}
		parts = append(parts, fmt.Sprintf(use+" the dust is carried all the way in %d of %d cases", carried, alone))
	}
	if n, of := v.count("pressure"); of > 0 {
		parts = append(parts, fmt.Sprintf("%d of %d suctions agree with the design", n, of))
	}
	s := show.Listed(parts)
	return show.Title(s) + "."
}

// count is how many lines of a topic pass, of how many.
func (v *Verification) count(topic string) (passed, of int) {
	for _, l := range v.of(topic) {
		if of++; l.Outcome == string(verify.Pass) {
			passed++
		}
	}
	return passed, of
}

// isAlone says whether a setting is that of one port.
func (v *Verification) isAlone(open string) bool {
	for _, l := range v.of("port-design") {
		if l.Open == open {
			return true
		}
	}
	return false
}

// conveySource says where the conveying velocities are from, in the reader's units.
func conveySource(v *verify.Report, u units.System) string {
	if v.Convey.Usual <= 0 {
		return v.Convey.Source
	}
	if v.Convey.Branch == v.Convey.Usual && v.Convey.Main == v.Convey.Usual {
		return "the usual where the system file states none: " + v.Convey.Source
	}
	return fmt.Sprintf("of which %s is the usual where the system file states none: %s", units.Format(v.Convey.Usual, units.Velocity, u), v.Convey.Source)
}

// verifyMethod says how it was judged.
func verifyMethod(v *verify.Report, u units.System) []string {
	out := append(show.Each(v.Remarks, show.DoubtWords),
		"Flows, velocities and pressures are calculated by a model of the system file, corrected by the readings: losses, fan, filter and leakage may differ from the file by the usual amounts, faults are searched for, and each figure has the uncertainty that the readings and their instruments leave.",
		"A demand passes if it is met with a probability of at least 95 %, and fails if with no more than 5 %. In between it is not shown. Intervals are 90 % ones.",
		fmt.Sprintf("Against design means against the system file as it stands: flow no more than %.0f %% below it, static pressure within %.0f %% of it.", 100*v.Tolerance, 100*v.Tolerance),
		"Conveying velocity: "+conveySource(v, u)+". It is judged at the upstream end of each duct, "+judgedIn(v.System),
		"What a code or an authority demands beyond that (capture at the hood, sound, bonding, explosion relief) was not looked at.",
	)
	if len(v.System.Instruments) == 0 {
		out = append(out, "The system file names no instruments; a water manometer and a vane anemometer of the usual errors are taken to have been used.")
	}
	if a := airWords(v.System, u); a != "" {
		out = append(out, a)
	}
	return out
}

// judgedIn says in which settings of the gates speeds are judged.
func judgedIn(s *duct.System) string {
	if len(s.Settings) > 0 {
		return "in the settings of the gates that the system file says are in use, in those of the survey and in those asked for."
	}
	return "with each port's gates open alone, with pairs of ports that work together, in the settings of the survey and in those asked for, and with all gates open."
}

// airWords is the air used in the calculation.
func airWords(s *duct.System, u units.System) string {
	if s.Air.Standard {
		return "The system file gives no air; standard air is taken."
	}
	return fmt.Sprintf("Air of %s, %.0f %% relative humidity, %s above the sea.", units.Format(s.Air.Temperature, units.Temperature, u), 100*s.Air.Humidity, units.Format(s.Air.Altitude, units.Length, u))
}

// JSON writes v as one indented object.
func JSON(w io.Writer, v *Verification) error { return show.Encode(w, v) }
