// Package tracked shows a history of surveys.
package tracked

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"lostair/diagnose/track"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/show"
)

// Tracked is a system over its surveys, in the reader's units.
type Tracked struct {
	Version   int            `json:"version"` // see Version
	System    report.System  `json:"system"`
	Summary   []string       `json:"summary"`  // what matters: episodes as they came, then what has moved
	Episodes  []Episode      `json:"episodes"` // what broke and what was mended, oldest first
	PerYear   float64        `json:"per_year"`
	Surveys   []Survey       `json:"surveys"` // by date
	Series    []Series       `json:"series"`
	Signals   []Signal       `json:"signals"`             // what has left its limits
	Diagnosis *report.Result `json:"diagnosis,omitempty"` // of the newest survey, in full; absent if it was not asked for
	Doubts    []string       `json:"doubts"`

	Unfinished bool     `json:"unfinished,omitempty"` // the work was stopped before its end: the charts are there, no more
	Cautions   []string `json:"cautions"`
	Kept       string   `json:"kept,omitempty"` // what lostair show makes it from again, packed by package kept; for this program alone
}

// Survey is one survey of the history.
type Survey struct {
	File      string            `json:"file"`
	Date      string            `json:"date"`
	Reference bool              `json:"reference,omitempty"` // taken as sound
	Misfit    float64           `json:"misfit"`              // about 1 or less if its readings agree with each other
	Wrong     []report.WrongRow `json:"wrong,omitempty"`     // rows set aside
	Full      *FullLook         `json:"full,omitempty"`      // absent of a survey that only went through the quick fit
}

// FullLook is what the full diagnosis of one survey came to.
type FullLook struct {
	Verdict string `json:"verdict"`
	Summary string `json:"summary"`
}

// Series is one indicator over the surveys.
type Series struct {
	Gauge  string        `json:"gauge"` // port-flow, filter-drop, fan-speed, leak-area or in-the-way
	Where  string        `json:"where"`
	Name   string        `json:"name"` // in words
	Unit   string        `json:"unit,omitempty"`
	Signal int           `json:"signal"`          // index into signals, or -1
	Sound  float64       `json:"sound,omitempty"` // of a port: its flow in the reference, m3/h or cfm; else absent
	Need   float64       `json:"need,omitempty"`  // of a port, in the same unit; absent if the system file doesn't say
	Points []SeriesPoint `json:"points"`          // one a survey
}

// SeriesPoint is an indicator as one survey shows it. Ratios are shares or
// multiples of the reference.
type SeriesPoint struct {
	Value   *show.Interval `json:"value,omitempty"`   // absent if the survey says nothing of it
	Average *float64       `json:"average,omitempty"` // weighted moving average; absent in the reference
	Lower   *float64       `json:"lower,omitempty"`   // its control limits
	Upper   *float64       `json:"upper,omitempty"`
}

// Signal is an indicator that has left its limits.
type Signal struct {
	Series  int            `json:"series"`
	Seen    string         `json:"seen"`  // date of the survey in which it was first seen
	Chart   string         `json:"chart"` // "EWMA" or "CUSUM"
	Rising  bool           `json:"rising"`
	Over    bool           `json:"over"`   // back within its limits
	Sudden  bool           `json:"sudden"` // it came at once
	Began   [3]string      `json:"began"`  // dates: likeliest, earliest, latest
	Now     *show.Interval `json:"now"`
	Rate    *show.Interval `json:"rate"` // a week; of a ratio the factor; null if the readings bound it on no side
	Steps   []Step         `json:"steps"`
	Reaches []Reach        `json:"reaches"` // limits ahead
	Alike   []int          `json:"alike"`   // series that explain the readings about as well
	Text    string         `json:"text"`    // in words
}

// Step is a sudden change, such as a repair.
type Step struct {
	Date string  `json:"date"`
	From float64 `json:"from"`
	To   float64 `json:"to"`
	Unit string  `json:"unit,omitempty"`
}

// Reach says when a limit will be crossed at the present rate.
type Reach struct {
	Limit float64        `json:"limit"` // in the unit of the series
	Port  string         `json:"port"`
	What  string         `json:"what"`  // "need": it gets less than its need; "half": half of what it had
	Weeks *show.Interval `json:"weeks"` // from the last survey; 521 or more: perhaps never
	Sure  bool           `json:"sure"`  // it is likelier than not to be crossed
}

// From puts a history into the reader's units.
func From(t *track.History, u units.System) *Tracked {
	out := &Tracked{Version: report.Version, System: report.System{Name: t.System.Name, File: t.System.File, Units: u.String()}, PerYear: show.Significant(t.PerYear),
		Doubts: append([]string{}, show.Each(t.Doubts, show.DoubtWords)...), Signals: []Signal{}, Cautions: append(show.Usual(), show.NoProof)}
	for _, s := range t.Surveys {
		x := Survey{File: s.Survey.File, Date: s.Date.Format(time.DateOnly), Reference: s.Reference, Misfit: show.Significant(s.Misfit)}
		for _, w := range s.Wrong {
			x.Wrong = append(x.Wrong, report.WrongRowOf(s.Survey.File, w))
		}
		if s.Result != nil {
			out.Diagnosis = report.From(s.Result, u)
			x.Full = &FullLook{out.Diagnosis.Verdict, out.Diagnosis.Summary}
		}
		out.Surveys = append(out.Surveys, x)
	}
	out.Episodes = []Episode{}
	for i := range t.Episodes {
		out.Episodes = append(out.Episodes, episodeOf(t, &t.Episodes[i], u))
	}
	for _, s := range t.Series {
		out.Series = append(out.Series, seriesOf(s, u))
	}
	for _, s := range t.Signals {
		out.Signals = append(out.Signals, signalOf(t, s, out, u))
	}
	out.Summary = trackSummary(out)
	if out.Unfinished = t.Unfinished; out.Unfinished {
		out.Summary = []string{report.NotFinished}
	}
	return out
}

func seriesOf(s track.Series, u units.System) Series {
	d := s.Gauge.Dimension()
	out := Series{Gauge: s.Gauge.String(), Where: s.Where, Name: seriesName(s), Unit: d.Symbol(u), Signal: s.Signal, Sound: show.Value(s.Sound, units.Flow, u), Need: show.Value(s.Need, units.Flow, u), Points: []SeriesPoint{}}
	for _, p := range s.Points {
		var x SeriesPoint
		if p.Known {
			x.Value = show.IntervalOf(p.Value, d, u)
		}
		if p.Charted {
			a, l, h := show.Value(p.Average, d, u), show.Value(p.Lower, d, u), show.Value(p.Upper, d, u)
			x.Average, x.Lower, x.Upper = &a, &l, &h
		}
		out.Points = append(out.Points, x)
	}
	return out
}

func seriesName(s track.Series) string {
	switch s.Gauge {
	case track.FlowShare:
		return "flow at " + s.Where
	case track.FilterDrop:
		return "the filter's drop"
	case track.FanSpeed:
		return "the fan's speed"
	case track.LeakArea:
		return "leak in " + s.Where
	}
	return "something in the way at " + s.Where
}

func signalOf(t *track.History, s track.Signal, out *Tracked, u units.System) Signal {
	d := t.Series[s.Series].Gauge.Dimension()
	date := func(i int) string { return t.Surveys[i].Date.Format(time.DateOnly) }
	x := Signal{Series: s.Series, Seen: date(s.Survey), Chart: s.Chart, Rising: s.Up, Over: s.Over, Sudden: s.Jumped,
		Began: [3]string{date(s.Began[0]), date(s.Began[1]), date(s.Began[2])}, Now: show.IntervalOf(s.Now, d, u), Steps: []Step{}, Reaches: []Reach{}, Alike: append([]int{}, s.Alike...)}
	change := d
	if d != units.Area {
		change = units.Number // a factor
	}
	x.Rate = show.IntervalOf(s.Rate, change, u)
	for _, j := range s.Jumps {
		x.Steps = append(x.Steps, Step{date(j.Survey), show.Value(j.From, d, u), show.Value(j.To, d, u), d.Symbol(u)})
	}
	for _, r := range s.Limits {
		x.Reaches = append(x.Reaches, Reach{show.Value(r.Limit, d, u), r.Port, r.What, &show.Interval{Value: show.Significant(r.Days.Value / 7), Low: show.Significant(r.Days.Low / 7), High: show.Significant(r.Days.High / 7), Unit: "weeks"}, r.Sure})
	}
	x.Text = signalWords(out, x)
	return x
}

// signalWords tells a signal in one or two sentences.
func signalWords(t *Tracked, s Signal) string {
	r := t.Series[s.Series]
	var b strings.Builder
	b.WriteString(show.Title(movedWords(r, s)))
	if len(s.Alike) > 0 {
		var names []string
		for i, a := range s.Alike {
			if i == 3 {
				names = append(names, fmt.Sprintf("%d more", len(s.Alike)-3))
				break
			}
			names = append(names, t.Series[a].Name)
		}
		fmt.Fprintf(&b, " These surveys can't tell it from: %s.", show.Listed(names))
	}
	if s.Over {
		return b.String()
	}
	for _, x := range s.Reaches {
		fmt.Fprintf(&b, " %s", reachWords(x, r))
	}
	return b.String()
}

// movedWords says what moved, since when and how far.
func movedWords(r Series, s Signal) string {
	now, than := "", ofReference(r, false)
	if s.Now != nil {
		x := *s.Now
		if x.Value < 0 { // a leak or an obstacle that was there in the first survey
			x.Value, x.Low, x.High = -x.Value, -x.High, -x.Low
			than = ofReference(r, true)
		}
		now = fmt.Sprintf("%s (%s)", show.WithUnit(x.Value, x.Unit), x.Span())
	}
	steps := stepWords(s)
	if s.Over {
		return fmt.Sprintf("%s had moved, first seen on %s.%s It is back within its limits.", r.Name, s.Seen, steps)
	}
	switch {
	case len(s.Steps) > 0:
		return fmt.Sprintf("%s has moved, first seen on %s.%s Now it is %s%s.", r.Name, s.Seen, steps, now, than)
	case s.Sudden:
		return fmt.Sprintf("%s changed at once, about %s, and now is %s%s.", r.Name, beganWords(s), now, than)
	}
	how := "has grown"
	if !s.Rising {
		how = "has fallen"
	}
	return fmt.Sprintf("%s %s since about %s, was first seen on %s, and now is %s%s%s.", r.Name, how, beganWords(s), s.Seen, now, than, rateWords(r, s))
}

// beganWords is a date with the span in which it lies.
func beganWords(s Signal) string {
	if s.Began[1] == s.Began[2] {
		return s.Began[0]
	}
	return fmt.Sprintf("%s (%s to %s)", s.Began[0], s.Began[1], s.Began[2])
}

// ofReference is what a gauge is held against; less says that it has fallen below it.
func ofReference(r Series, less bool) string {
	than := " more than when sound"
	if less {
		than = " less than at first"
	}
	switch r.Gauge {
	case "port-flow", "fan-speed":
		return " of what it was when sound"
	case "filter-drop":
		return " what it was when sound, at the same flow"
	case "leak-area":
		return than
	}
	return " velocity pressures" + than
}

// rateWords is how fast it moves.
func rateWords(r Series, s Signal) string {
	if s.Rate == nil || s.Sudden {
		return ""
	}
	if r.Gauge == "leak-area" || r.Gauge == "in-the-way" {
		return fmt.Sprintf(", %s a week", signed(s.Rate.Value, s.Rate.Unit))
	}
	return ", " + show.RatioText(s.Rate.Value) + " a week"
}

// signed is a change to two figures.
func signed(v float64, unit string) string {
	v = show.TwoFigures(v)
	if v > 0 {
		return "+" + show.WithUnit(v, unit)
	}
	return show.WithUnit(v, unit)
}

func stepWords(s Signal) string {
	var b strings.Builder
	for i, x := range s.Steps {
		if i == 3 {
			fmt.Fprintf(&b, " %d more steps.", len(s.Steps)-3)
			break
		}
		fmt.Fprintf(&b, " On %s it went from %s to %s at once.", x.Date, show.WithUnit(x.From, x.Unit), show.WithUnit(x.To, x.Unit))
	}
	return b.String()
}

// neverWeeks is from when on a crossing may never come.
const neverWeeks = 520

func reachWords(x Reach, r Series) string {
	what := fmt.Sprintf("%s gets less than it needs", x.Port)
	if x.What == "half" {
		what = fmt.Sprintf("%s loses half of its flow", x.Port)
	}
	at := ""
	if r.Gauge != "port-flow" {
		at = fmt.Sprintf(" (at %s)", show.WithUnit(x.Limit, r.Unit))
	}
	if !x.Sure {
		return fmt.Sprintf("It may be that %s%s as early as in %s.", what, at, weeks(x.Weeks.Low))
	}
	high := weeks(x.Weeks.High)
	if x.Weeks.High >= neverWeeks {
		high = "never"
	}
	return fmt.Sprintf("At this rate %s%s in about %s (%s to %s).", what, at, weeks(x.Weeks.Value), weeks(x.Weeks.Low), high)
}

// weeks is a span of time in words.
func weeks(w float64) string {
	switch {
	case 7*w < 1.5:
		return "1 day"
	case w < 1.5:
		return fmt.Sprintf("%.0f days", 7*w)
	case w < 26:
		return fmt.Sprintf("%.0f weeks", w)
	}
	return fmt.Sprintf("%.0f months", w*7/30.44)
}

// trackSummary is the signals in words, what is going on before what is over.
func trackSummary(t *Tracked) []string {
	out := []string{}
	for _, e := range t.Episodes {
		out = append(out, e.Text)
	}
	for _, s := range t.Signals {
		r := t.Series[s.Series]
		switch {
		case s.Over || r.Gauge == "port-flow":
		case !t.told(s.Seen):
			out = append(out, s.Text)
		case !t.endedSince(s.Seen) && len(s.Reaches) > 0:
			out = append(out, show.Title(r.Name)+": "+show.Lower(reachWords(s.Reaches[0], r)))
		}
	}
	for _, x := range []string{t.flowsMoved(), t.nowShort()} {
		if x != "" {
			out = append(out, x)
		}
	}
	if !t.compared() {
		return append(out, "Nothing was compared: every survey is taken as sound. Give later ones, or fewer as sound (--reference).")
	}
	switch faults := t.newestFaults(); {
	case len(out) > 0:
	case len(faults) > 0:
		out = append(out, "Nothing has left its limits yet, but the newest survey by itself points to "+report.Blamed(faults)+".")
	default:
		out = append(out, "Nothing has left its limits: the system is as it was in the surveys that stand for the sound one.")
	}
	return out
}

// told is whether an episode tells what was first seen on a date.
func (t *Tracked) told(date string) bool {
	for _, e := range t.Episodes {
		if e.From.Low <= date && (e.To == nil || date <= e.To.High) {
			return true
		}
	}
	return false
}

// newestFaults are the faults of the system that the newest survey shows when
// it is diagnosed in full.
func (t *Tracked) newestFaults() []report.Fault {
	if t.Diagnosis == nil {
		return nil
	}
	main, _, _ := report.Sorted(t.Diagnosis.Faults)
	return main
}

// Calm says whether nothing has left its limits and the newest survey shows no fault.
func (t *Tracked) Calm() bool {
	for _, e := range t.Episodes {
		if e.To == nil {
			return false
		}
	}
	return !t.stands() && len(t.newestFaults()) == 0
}

// stands is whether a signal still stands that no episode tells.
func (t *Tracked) stands() bool {
	for _, s := range t.Signals {
		if !s.Over && !t.told(s.Seen) {
			return true
		}
	}
	return false
}

// flowsMoved names the ports whose flow has moved.
func (t *Tracked) flowsMoved() string {
	var parts []string
	for _, s := range t.Signals {
		if r := t.Series[s.Series]; r.Gauge == "port-flow" && t.stateOf(r) != "over" && s.Now != nil {
			parts = append(parts, fmt.Sprintf("%s %.0f", r.Where, s.Now.Value))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "Ports whose flow has changed, in % of what it was when sound: " + show.Listed(parts) + "."
}

// nowShort names the ports that got their need when sound and don't now.
func (t *Tracked) nowShort() string {
	var short []string
	for _, r := range t.Series {
		if v := r.last(); r.Signal >= 0 && r.Need > 0 && v != nil && r.Sound >= r.Need && !t.Signals[r.Signal].Over && r.Sound*v.Value/100 < r.Need {
			short = append(short, r.Where)
		}
	}
	if len(short) == 0 {
		return ""
	}
	return show.Title(show.GetsWords(short)) + " less than needed now, and had enough when sound."
}

// compared is whether any survey was held against others.
func (t *Tracked) compared() bool {
	return slices.ContainsFunc(t.Surveys, func(s Survey) bool { return !s.Reference })
}

// last is the newest known value.
func (s Series) last() *show.Interval {
	for i := len(s.Points) - 1; i >= 0; i-- {
		if v := s.Points[i].Value; v != nil {
			return v
		}
	}
	return nil
}

// stateOf is how a series fares, in a word.
func (t *Tracked) stateOf(s Series) string {
	switch {
	case !t.compared():
		return ""
	case s.Signal < 0:
		return "in limits"
	case t.Signals[s.Signal].Over, t.endedSince(t.Signals[s.Signal].Seen) && !(s.Gauge == "port-flow" && t.lasts()):
		return "over"
	case t.Signals[s.Signal].Rising:
		return "RISES"
	}
	return "FALLS"
}

// endedSince is whether all episodes that tell what was first seen on a date have ended.
func (t *Tracked) endedSince(date string) bool {
	told := false
	for _, e := range t.Episodes {
		if e.From.Low > date || e.To != nil && date > e.To.High {
			continue
		}
		if told = true; e.To == nil {
			return false
		}
	}
	return told
}

// lasts is whether an episode goes on: what has moved a port's air before may then move
// it still.
func (t *Tracked) lasts() bool {
	return slices.ContainsFunc(t.Episodes, func(e Episode) bool { return e.To == nil })
}

// JSON writes t as one indented object.
func JSON(w io.Writer, t *Tracked) error { return show.Encode(w, t) }

// CSV writes a row for each indicator and survey, for a spreadsheet.
func CSV(w io.Writer, t *Tracked) error {
	c := csv.NewWriter(w)
	rows := [][]string{{"date", "file", "gauge", "where", "value", "low", "high", "unit", "average", "lower_limit", "upper_limit", "reference"}}
	for _, s := range t.Series {
		for i, p := range s.Points {
			v := t.Surveys[i]
			row := []string{v.Date, show.Guarded(v.File), s.Gauge, show.Guarded(s.Where), "", "", "", s.Unit, "", "", "", "no"}
			if p.Value != nil {
				row[4], row[5], row[6] = show.Number(p.Value.Value), show.Number(p.Value.Low), show.Number(p.Value.High)
			}
			if p.Average != nil {
				row[8], row[9], row[10] = show.Number(*p.Average), show.Number(*p.Lower), show.Number(*p.Upper)
			}
			if v.Reference {
				row[11] = "yes"
			}
			rows = append(rows, row)
		}
	}
	return c.WriteAll(rows)
}
