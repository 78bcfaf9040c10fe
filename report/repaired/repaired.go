// Package repaired shows what a repair has changed, from a survey before and one
// after it.
package repaired

import (
	"fmt"
	"io"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/repair"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/finding"
	"lostair/report/layout"
	"lostair/report/show"
	"lostair/report/text"
)

// Repair compares the surveys before and after a repair, in the reader's units.
type Repair struct {
	Version   int               `json:"version"` // see Version
	System    report.System     `json:"system"`
	Before    report.Survey     `json:"before"`
	After     report.Survey     `json:"after"`
	Baselines []report.Survey   `json:"baselines"`       // of the sound system
	Place     string            `json:"place,omitempty"` // where something was done; absent if not said
	Summary   []string          `json:"summary"`
	Verdict   string            `json:"verdict"`         // "better", "worse", "mixed", "same" or "not shown"
	Improved  float64           `json:"improved"`        // probability that a fault is gone, or less bad
	Worse     float64           `json:"worse"`           // probability that a fault has come up, or is worse
	Cause     *float64          `json:"cause,omitempty"` // probability that what got better lies at Place or in its zone; absent if not said
	Zone      []string          `json:"zone"`            // places that these readings can't distinguish from Place, it first
	Changes   []Part            `json:"changes"`         // what may have changed, likeliest first
	Left      []Part            `json:"left"`            // what is probably wrong before and after alike
	Ports     []Port            `json:"ports"`
	Wrong     []report.WrongRow `json:"wrong"` // rows that were set aside
	Doubts    []string          `json:"doubts"`
	Cautions  []string          `json:"cautions"`
	Kept      string            `json:"kept,omitempty"` // what lostair show makes it from again, packed by package kept; for this program alone
}

// Part is one thing that may have changed.
type Part struct {
	report.Candidate
	Together float64            `json:"together"` // probability that it is this one or one of Alike
	Alike    []report.Candidate `json:"alike"`    // what these readings can't distinguish from it
	Better   bool               `json:"better"`
	Was      *show.Interval     `json:"was"` // severity before; null: no fault
	Is       *show.Interval     `json:"is"`  // severity after; null: no fault
}

// Port is a port's flow before and after, its own gates open.
type Port struct {
	Port   string         `json:"port"`
	Before *show.Interval `json:"before"`
	After  *show.Interval `json:"after"`
	Ratio  *show.Interval `json:"ratio"` // after over before
	Need   float64        `json:"need,omitempty"`
	More   float64        `json:"more"` // probability that it gets at least 1 % more
}

// decided is from which probability on a repair is called one that improved,
// or made worse. So is verify's.
const decided = 0.95

// From puts a comparison into the reader's units.
func From(x *repair.Repair, u units.System) *Repair {
	out := &Repair{Version: report.Version, System: report.System{Name: x.System.Name, File: x.System.File, Units: u.String()}, Before: report.SurveyOf(x.Before), After: report.SurveyOf(x.After),
		Baselines: show.Each(x.Baselines, report.SurveyOf), Place: x.Place, Improved: show.Probability(x.Improved), Worse: show.Probability(x.Worse), Zone: append([]string{}, x.Zone...),
		Ports: []Port{}, Wrong: []report.WrongRow{}, Doubts: []string{}, Cautions: append(show.Usual(), show.NoProof)}
	if x.Place != "" {
		p := show.Probability(x.Cause)
		out.Cause = &p
	}
	c := report.Converter{Words: finding.Words{D: &diagnose.Result{System: x.System}, U: u}}
	part := func(p repair.Part) Part { return repairPart(c, p) }
	out.Changes, out.Left = show.Each(x.Changes, part), show.Each(x.Left, part)
	for _, p := range x.Ports {
		out.Ports = append(out.Ports, Port{p.Port, show.IntervalOf(p.Before, units.Flow, u), show.IntervalOf(p.After, units.Flow, u),
			show.IntervalOf(p.Ratio, units.Number, u), show.Value(p.Need, units.Flow, u), show.Probability(p.More)})
	}
	for i, w := range x.Wrong {
		file := x.After.File
		if i < x.WrongBefore {
			file = x.Before.File
		}
		out.Wrong = append(out.Wrong, report.WrongRowOf(file, w))
	}
	out.Doubts = append(out.Doubts, show.Each(x.Doubts, show.DoubtWords)...)
	if x.Same < len(x.After.Readings)*2/3 {
		out.Doubts = append(out.Doubts, fmt.Sprintf("Only %d of the %d readings after were also taken before; read the same points with the same gates open, and the comparison sharpens.", x.Same, len(x.After.Readings)))
	}
	out.Verdict = repairVerdict(out)
	out.Summary = repairSummary(out)
	if s := x.Slip; s != nil {
		out.Summary = append([]string{fmt.Sprintf("Look out: the %s column of %s says %s, but the values are like those of the other survey in %s. They are taken in %s here: look at the unit on the instrument, and correct the file.", s.Dimension, s.File, s.Says, s.Really, s.Really)}, out.Summary...)
	}
	if x.Copied {
		out.Summary = append([]string{"Look out: both surveys hold the same readings, value for value, so nothing can have changed. Was one file given, or saved, in place of the other?"}, out.Summary...)
	}
	if x.Backwards {
		out.Summary = append([]string{fmt.Sprintf("Look out: the survey given as after (%s) is dated before the one given as before (%s). If they were exchanged, better is worse.", out.After.First, out.Before.First)}, out.Summary...)
	}
	return out
}

func repairPart(c report.Converter, p repair.Part) Part {
	out := Part{Candidate: c.Candidate(p.Candidate), Together: max(show.Probability(p.Together), show.Probability(p.Probability)), Alike: show.Each(p.Alike, c.Candidate), Better: p.Better}
	if p.Was != nil {
		out.Was = show.IntervalOf(*p.Was, p.Kind.Dimension(), c.U)
	}
	if p.Is != nil {
		out.Is = show.IntervalOf(*p.Is, p.Kind.Dimension(), c.U)
	}
	return out
}

// sameAtMost is how likely a change may be and still be called none.
const sameAtMost = 0.25

func repairVerdict(r *Repair) string {
	switch {
	case r.Improved >= decided && r.Worse >= decided:
		return "mixed"
	case r.Improved >= decided:
		return "better"
	case r.Worse >= decided:
		return "worse"
	case r.Improved <= sameAtMost && r.Worse <= sameAtMost:
		return "same"
	}
	return "not shown"
}

func repairSummary(r *Repair) []string {
	first := map[string]string{
		"better":    fmt.Sprintf("It is better than before: %s.", show.Percent(r.Improved)),
		"worse":     fmt.Sprintf("It is worse than before: %s.", show.Percent(r.Worse)),
		"mixed":     "Something is better than before, and something is worse.",
		"same":      fmt.Sprintf("Nothing that these readings can see has changed: better %s, worse %s.", show.Percent(r.Improved), show.Percent(r.Worse)),
		"not shown": fmt.Sprintf("Whether it is better is not shown: better %s, worse %s.", show.Percent(r.Improved), show.Percent(r.Worse)),
	}[r.Verdict]
	if gainWords(r) != "" && (r.Verdict == "same" || r.Verdict == "not shown") {
		first = fmt.Sprintf("The air has changed, and that a fault has gone is not shown (better %s, worse %s): a filter, say, is another one each day.", show.Percent(r.Improved), show.Percent(r.Worse))
	}
	out := []string{first}
	for i, c := range r.Changes {
		if r.Verdict == "same" || c.Together < 0.5 && i > 0 {
			break
		}
		out = append(out, show.Title(repairWords(c))+".")
	}
	if g := gainWords(r); g != "" {
		out = append(out, g)
	}
	if r.Cause != nil {
		out = append(out, causeWords(r))
	}
	for _, c := range r.Left {
		out = append(out, fmt.Sprintf("Still there: %s (%s).", c.Name, show.Percent(c.Together)))
	}
	return out
}

// gainWords names the port that gained or lost most, if that is sure.
func gainWords(r *Repair) string {
	var best, worst *Port
	for i := range r.Ports {
		p := &r.Ports[i]
		if p.Ratio == nil {
			continue
		}
		if p.Ratio.Low > 1 && (best == nil || p.Ratio.Value > best.Ratio.Value) {
			best = p
		}
		if p.Ratio.High < 1 && (worst == nil || p.Ratio.Value < worst.Ratio.Value) {
			worst = p
		}
	}
	if best == nil && worst == nil {
		return ""
	}
	if best == nil || worst != nil && worst.Ratio.Value*best.Ratio.Value < 1 {
		best = worst
	}
	return fmt.Sprintf("Port %s gets %s air (%s; 9 in 10 sure: %s).", best.Port, map[bool]string{true: "more", false: "less"}[best.Ratio.Value > 1], show.RatioText(best.Ratio.Value), ratioSpan(best.Ratio))
}

// causeWords says whether the place at which something was done was the cause.
func causeWords(r *Repair) string {
	where := r.Place
	if len(r.Zone) > 1 {
		where += " (which these readings can't distinguish from " + show.Listed(r.Zone[1:]) + ")"
	}
	switch p := *r.Cause; {
	case p >= decided:
		return fmt.Sprintf("What was done at %s did it: %s.", where, show.Percent(p))
	case p >= 0.5:
		return fmt.Sprintf("What was done at %s probably did it: %s.", where, show.Percent(p))
	case r.Improved < 0.5:
		return fmt.Sprintf("What was done at %s hardly mended anything (%s): nothing got better.", where, show.Percent(p))
	case p >= 0.25:
		return fmt.Sprintf("What was done at %s may have done it (%s), or something else got better.", where, show.Percent(p))
	}
	return fmt.Sprintf("What was done at %s hardly did it (%s); something else got better.", where, show.Percent(*r.Cause))
}

// repairWords says what changed and by how much.
func repairWords(c Part) string {
	out := c.Name
	if len(c.Alike) > 0 {
		var names []string
		for _, a := range c.Alike {
			names = append(names, fmt.Sprintf("%s, %s", a.Name, show.Percent(a.Probability)))
		}
		out += fmt.Sprintf(" (%s; or %s)", show.Percent(c.Probability), strings.Join(names, "; or "))
	}
	says := func(v *show.Interval) string { return fmt.Sprintf("%s (%s)", howMuch(c.Kind, v), v.Span()) }
	switch {
	case c.Is == nil && c.Was != nil && c.Better:
		return fmt.Sprintf("%s %s; it was %s", out, mendedWords(c.Kind), says(c.Was))
	case c.Was == nil && c.Is != nil:
		return fmt.Sprintf("%s is new: %s", out, says(c.Is))
	case c.Was != nil && c.Is != nil:
		return fmt.Sprintf("%s was %s and is %s", out, says(c.Was), says(c.Is))
	}
	return out
}

// mendedWords says that a fault is there no longer.
func mendedWords(kind string) string {
	switch kind {
	case "leak":
		return "is closed"
	case "blockage":
		return "is cleared"
	case "filter-loaded":
		return "is clean again"
	case "fan-weak":
		return "is up to speed again"
	}
	return "is put right"
}

// howMuch is a severity with what it measures.
func howMuch(kind string, v *show.Interval) string {
	x := show.WithUnit(v.Value, v.Unit)
	switch kind {
	case "gate-restricted":
		return x + " open"
	case "blockage":
		return x + " of the bore closed"
	case "filter-loaded":
		return x + " the clean drop"
	case "fan-weak":
		return x + " of its speed"
	}
	return x + " open"
}

// JSON writes r as one indented object.
func JSON(w io.Writer, r *Repair) error { return show.Encode(w, r) }

// Text tells a comparison to a person.
func Text(w io.Writer, r *Repair, s show.Style) error {
	p := show.NewPage(s)
	p.Para("", report.NameOf(r.System), show.Bold)
	p.Para("", fmt.Sprintf("%s compared with %s before", surveyWords(r.After), surveyWords(r.Before)), show.PlainText)
	p.Blank()
	for i, x := range r.Summary {
		color := show.PlainText
		if i == 0 && strings.HasPrefix(x, "It is ") {
			color = map[string]string{"better": show.Good, "worse": show.Bad, "mixed": show.Bad}[r.Verdict]
		}
		p.Para("", x, color)
	}
	if len(r.Changes) > 0 {
		p.Heading("What may have changed")
		for _, c := range r.Changes {
			p.Para("* ", fmt.Sprintf("%s: %s", show.Percent(c.Together), repairWords(c)), show.PlainText)
		}
	}
	repairPorts(p, r)
	for i, x := range r.Wrong {
		if i == 0 {
			p.Heading("Rows that were set aside")
		}
		p.Para("* ", fmt.Sprintf("%s line %d, %s at %s: %s", x.File, x.Line, show.Quantity(x.Quantity), x.Point, x.Why), show.PlainText)
	}
	text.Doubts(p, &report.Result{Doubts: r.Doubts})
	text.Cautions(p, &report.Result{Cautions: r.Cautions})
	return p.Write(w)
}

func surveyWords(s report.Survey) string {
	if s.First == "" {
		return report.FileName(s.File)
	}
	return report.FileName(s.File) + " of " + s.First
}

func repairPorts(p *show.Page, r *Repair) {
	if len(r.Ports) == 0 {
		return
	}
	unit := ""
	t := layout.Table{Columns: []layout.Column{{Head: "port", Least: 8}, {Head: "before", Right: true}, {Head: "after", Right: true}, {Head: "change", Right: true}, {Head: "9 in 10 sure", Right: true}, {Head: "need", Right: true}, {Head: "gets more", Right: true}}}
	for _, x := range r.Ports {
		if x.Before == nil || x.After == nil || x.Ratio == nil {
			continue
		}
		unit = x.Before.Unit
		t.Rows = append(t.Rows, []string{x.Port, show.Shown(x.Before.Value), show.Shown(x.After.Value), show.RatioText(x.Ratio.Value), ratioSpan(x.Ratio), report.Needed(x.Need), show.Percent(x.More)})
	}
	p.Heading("Air at the ports, each with its own gates open, in " + unit)
	p.Table("", t, nil)
}

// ratioSpan is the interval of a factor as a change.
func ratioSpan(v *show.Interval) string {
	return show.Change(v.Low) + " to " + show.Change(v.High) + " %"
}
