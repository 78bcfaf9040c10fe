package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"lostair/diagnose"
	"lostair/readings/units"
	"lostair/report/layout"
)

// Repair compares the surveys before and after a repair, in the reader's units.
type Repair struct {
	Version   int          `json:"version"` // see Version
	System    System       `json:"system"`
	Before    Survey       `json:"before"`
	After     Survey       `json:"after"`
	Baselines []Survey     `json:"baselines"`       // of the sound system
	Place     string       `json:"place,omitempty"` // where something was done; absent if not said
	Summary   []string     `json:"summary"`
	Verdict   string       `json:"verdict"`         // "better", "worse", "mixed", "same" or "not shown"
	Improved  float64      `json:"improved"`        // probability that a fault is gone, or less bad
	Worse     float64      `json:"worse"`           // probability that a fault has come up, or is worse
	Cause     *float64     `json:"cause,omitempty"` // probability that what got better lies at Place or in its zone; absent if not said
	Zone      []string     `json:"zone"`            // places that these readings can't tell from Place, it first
	Changes   []RepairPart `json:"changes"`         // what may have changed, likeliest first
	Left      []RepairPart `json:"left"`            // what is probably wrong before and after alike
	Ports     []RepairPort `json:"ports"`
	Wrong     []WrongRow   `json:"wrong"` // rows that were set aside
	Doubts    []string     `json:"doubts"`
	Cautions  []string     `json:"cautions"`
}

// RepairPart is one thing that may have changed.
type RepairPart struct {
	Candidate
	Together float64     `json:"together"` // probability that it is this one or one of Alike
	Alike    []Candidate `json:"alike"`    // what these readings can't tell from it
	Better   bool        `json:"better"`
	Was      *Interval   `json:"was"` // severity before; null: no fault
	Is       *Interval   `json:"is"`  // severity after; null: no fault
}

// RepairPort is a port's flow before and after, its own gates open.
type RepairPort struct {
	Port   string    `json:"port"`
	Before *Interval `json:"before"`
	After  *Interval `json:"after"`
	Ratio  *Interval `json:"ratio"` // after over before
	Need   float64   `json:"need,omitempty"`
	More   float64   `json:"more"` // probability that it gets at least 1 % more
}

// decided is from which probability on a repair is called one that improved,
// or made worse. So is verify's.
const decided = 0.95

// FromRepair puts a comparison into the reader's units.
func FromRepair(x *diagnose.Repair, u units.System) *Repair {
	out := &Repair{Version: Version, System: System{Name: x.System.Name, File: x.System.File, Units: u.String()}, Before: survey(x.Before), After: survey(x.After),
		Baselines: each(x.Baselines, survey), Place: x.Place, Improved: probability(x.Improved), Worse: probability(x.Worse), Zone: append([]string{}, x.Zone...),
		Ports: []RepairPort{}, Wrong: []WrongRow{}, Doubts: []string{}, Cautions: append(usual(), noProof)}
	if x.Place != "" {
		p := probability(x.Cause)
		out.Cause = &p
	}
	c := converter{d: &diagnose.Result{System: x.System}, u: u}
	part := func(p diagnose.RepairPart) RepairPart { return c.repairPart(p) }
	out.Changes, out.Left = each(x.Changes, part), each(x.Left, part)
	for _, p := range x.Ports {
		out.Ports = append(out.Ports, RepairPort{p.Port, interval(p.Before, units.Flow, u), interval(p.After, units.Flow, u),
			interval(p.Ratio, units.Number, u), value(p.Need, units.Flow, u), probability(p.More)})
	}
	for i, w := range x.Wrong {
		file := x.After.File
		if i < x.WrongBefore {
			file = x.Before.File
		}
		out.Wrong = append(out.Wrong, wrongRowOf(file, w))
	}
	if x.Same < len(x.After.Readings)*2/3 {
		out.Doubts = append(out.Doubts, fmt.Sprintf("Only %d of the %d readings after were also taken before; read the same points with the same gates open, and the comparison sharpens.", x.Same, len(x.After.Readings)))
	}
	out.Verdict = repairVerdict(out)
	out.Summary = repairSummary(out)
	if x.Copied {
		out.Summary = append([]string{"Look out: both surveys hold the same readings, value for value, so nothing can have changed. Was one file given, or saved, in place of the other?"}, out.Summary...)
	}
	if x.Backwards {
		out.Summary = append([]string{fmt.Sprintf("Look out: the survey given as after (%s) is dated before the one given as before (%s). If they were exchanged, better is worse.", out.After.First, out.Before.First)}, out.Summary...)
	}
	return out
}

func (c converter) repairPart(p diagnose.RepairPart) RepairPart {
	out := RepairPart{Candidate: c.candidate(p.Candidate), Together: max(probability(p.Together), probability(p.Probability)), Alike: each(p.Alike, c.candidate), Better: p.Better}
	if p.Was != nil {
		out.Was = interval(*p.Was, p.Kind.Dimension(), c.u)
	}
	if p.Is != nil {
		out.Is = interval(*p.Is, p.Kind.Dimension(), c.u)
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
		"better":    fmt.Sprintf("It is better than before: %s.", percent(r.Improved)),
		"worse":     fmt.Sprintf("It is worse than before: %s.", percent(r.Worse)),
		"mixed":     "Something is better than before, and something is worse.",
		"same":      fmt.Sprintf("Nothing that these readings can see has changed: better %s, worse %s.", percent(r.Improved), percent(r.Worse)),
		"not shown": fmt.Sprintf("Whether it is better is not shown: better %s, worse %s.", percent(r.Improved), percent(r.Worse)),
	}[r.Verdict]
	if gainWords(r) != "" && (r.Verdict == "same" || r.Verdict == "not shown") {
		first = fmt.Sprintf("The air has changed, and that a fault has gone is not shown (better %s, worse %s): a filter, say, is another one each day.", percent(r.Improved), percent(r.Worse))
	}
	out := []string{first}
	for i, c := range r.Changes {
		if r.Verdict == "same" || c.Together < 0.5 && i > 0 {
			break
		}
		out = append(out, title(repairWords(c))+".")
	}
	if g := gainWords(r); g != "" {
		out = append(out, g)
	}
	if r.Cause != nil {
		out = append(out, causeWords(r))
	}
	for _, c := range r.Left {
		out = append(out, fmt.Sprintf("Still there: %s (%s).", c.Name, percent(c.Together)))
	}
	return out
}

// gainWords names the port that gained or lost most, if that is sure.
func gainWords(r *Repair) string {
	var best, worst *RepairPort
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
	return fmt.Sprintf("Port %s gets %s air (%s; 9 in 10 sure: %s).", best.Port, map[bool]string{true: "more", false: "less"}[best.Ratio.Value > 1], ratioText(best.Ratio.Value), ratioSpan(best.Ratio))
}

// causeWords says whether the place at which something was done was the cause.
func causeWords(r *Repair) string {
	where := r.Place
	if len(r.Zone) > 1 {
		where += " (which these readings can't tell from " + listed(r.Zone[1:]) + ")"
	}
	switch p := *r.Cause; {
	case p >= decided:
		return fmt.Sprintf("What was done at %s did it: %s.", where, percent(p))
	case p >= 0.5:
		return fmt.Sprintf("What was done at %s probably did it: %s.", where, percent(p))
	case r.Improved < 0.5:
		return fmt.Sprintf("What was done at %s hardly mended anything (%s): nothing got better.", where, percent(p))
	case p >= 0.25:
		return fmt.Sprintf("What was done at %s may have done it (%s), or something else got better.", where, percent(p))
	}
	return fmt.Sprintf("What was done at %s hardly did it (%s); something else got better.", where, percent(*r.Cause))
}

// repairWords says what changed and by how much.
func repairWords(c RepairPart) string {
	out := c.Name
	if len(c.Alike) > 0 {
		var names []string
		for _, a := range c.Alike {
			names = append(names, fmt.Sprintf("%s, %s", a.Name, percent(a.Probability)))
		}
		out += fmt.Sprintf(" (%s; or %s)", percent(c.Probability), strings.Join(names, "; or "))
	}
	says := func(v *Interval) string { return fmt.Sprintf("%s (%s)", howMuch(c.Kind, v), v.span()) }
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
func howMuch(kind string, v *Interval) string {
	x := withUnit(v.Value, v.Unit)
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

// RepairJSON writes r as one indented object.
func RepairJSON(w io.Writer, r *Repair) error { return encode(w, r) }

// RepairText tells a comparison to a person.
func RepairText(w io.Writer, r *Repair, s Style) error {
	p := newPage(s)
	p.para("", nameOf(r.System), bold)
	p.para("", fmt.Sprintf("%s compared with %s before", surveyWords(r.After), surveyWords(r.Before)), plainText)
	p.blank()
	for i, x := range r.Summary {
		color := plainText
		if i == 0 && strings.HasPrefix(x, "It is ") {
			color = map[string]string{"better": good, "worse": bad, "mixed": bad}[r.Verdict]
		}
		p.para("", x, color)
	}
	if len(r.Changes) > 0 {
		p.heading("What may have changed")
		for _, c := range r.Changes {
			p.para("* ", fmt.Sprintf("%s: %s", percent(c.Together), repairWords(c)), plainText)
		}
	}
	p.repairPorts(r)
	for i, x := range r.Wrong {
		if i == 0 {
			p.heading("Rows that were set aside")
		}
		p.para("* ", fmt.Sprintf("%s line %d, %s at %s: %s", x.File, x.Line, quantity(x.Quantity), x.Point, x.Why), plainText)
	}
	p.doubts(&Result{Doubts: r.Doubts})
	p.cautions(&Result{Cautions: r.Cautions})
	return p.writeTo(w)
}

func surveyWords(s Survey) string {
	if s.First == "" {
		return fileName(s.File)
	}
	return fileName(s.File) + " of " + s.First
}

func (p *page) repairPorts(r *Repair) {
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
		t.Rows = append(t.Rows, []string{x.Port, shown(x.Before.Value), shown(x.After.Value), ratioText(x.Ratio.Value), ratioSpan(x.Ratio), needed(x.Need), percent(x.More)})
	}
	p.heading("Air at the ports, each with its own gates open, in " + unit)
	p.table("", t, nil)
}

// ratioText is a factor as a change.
func ratioText(v float64) string { return change(v) + " %" }

// ratioSpan is the interval of a factor as a change.
func ratioSpan(v *Interval) string { return change(v.Low) + " to " + change(v.High) + " %" }

// change is a factor as a change in per cent: a tenth below ten, and no sign
// before nothing.
func change(v float64) string {
	p := 100 * (v - 1)
	text := fmt.Sprintf("%+.1f", p)
	if math.Abs(p) >= 9.95 {
		text = fmt.Sprintf("%+.0f", p)
	}
	if strings.Trim(text, "+-0.") == "" {
		return "0"
	}
	return text
}
