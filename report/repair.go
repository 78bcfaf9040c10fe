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
	Version  int          `json:"version"` // see Version
	System   System       `json:"system"`
	Before   Survey       `json:"before"`
	After    Survey       `json:"after"`
	Sealed   string       `json:"sealed,omitempty"` // what was sealed; absent if not said
	Summary  []string     `json:"summary"`
	Verdict  string       `json:"verdict"`           // "better", "worse", "same" or "not shown"
	Improved float64      `json:"improved"`          // probability that something became better
	Worse    float64      `json:"worse"`             // probability that something became worse
	Sealing  *float64     `json:"sealing,omitempty"` // probability that a leak closed at what was sealed; absent if not said
	Zone     []string     `json:"zone"`              // ducts that are followed as one with what was sealed
	Changes  []RepairPart `json:"changes"`           // what may have changed, likeliest first
	Ports    []RepairPort `json:"ports"`
	Wrong    []WrongRow   `json:"wrong"` // rows of the survey after that were set aside
	Doubts   []string     `json:"doubts"`
	Cautions []string     `json:"cautions"`
}

// RepairPart is one thing that may have changed.
type RepairPart struct {
	Gauge       string    `json:"gauge"`
	Where       string    `json:"where"`
	Name        string    `json:"name"` // in words
	Better      bool      `json:"better"`
	Probability float64   `json:"probability"`
	Change      *Interval `json:"change"` // of a ratio the factor
}

// RepairPort is a port's flow before and after, its own gates open.
type RepairPort struct {
	Port   string    `json:"port"`
	Before float64   `json:"before"` // in the unit of flows
	After  float64   `json:"after"`
	Unit   string    `json:"unit"`
	Ratio  *Interval `json:"ratio"` // after over before
	Need   float64   `json:"need,omitempty"`
	More   float64   `json:"more"` // probability that it gets at least 1 % more
}

// decided is from which probability on a repair is called one that improved,
// or made worse. So is verify's.
const decided = 0.95

// FromRepair puts a comparison into the reader's units.
func FromRepair(x *diagnose.Repair, u units.System) *Repair {
	out := &Repair{Version: Version, System: System{Name: x.System.Name, File: x.System.File, Units: u.String()}, Before: survey(x.Before), After: survey(x.After), Sealed: x.Sealed,
		Improved: probability(x.Improved), Worse: probability(x.Worse), Zone: append([]string{}, x.Zone...), Changes: []RepairPart{}, Ports: []RepairPort{}, Wrong: []WrongRow{},
		Doubts: []string{}, Cautions: []string{spark, lockOff, ladder, noProof}}
	if x.Sealed != "" {
		p := probability(x.Sealing)
		out.Sealing = &p
	}
	for _, c := range x.Changes {
		d := c.Gauge.Dimension()
		out.Changes = append(out.Changes, RepairPart{c.Gauge.String(), c.Where, seriesName(diagnose.Series{Gauge: c.Gauge, Where: c.Where}), c.Better, probability(c.Probability), interval(c.Change, d, u)})
	}
	for _, p := range x.Ports {
		out.Ports = append(out.Ports, RepairPort{p.Port, value(p.Before, units.Flow, u), value(p.After, units.Flow, u), units.Flow.Symbol(u),
			interval(p.Ratio, units.Number, u), value(p.Need, units.Flow, u), probability(p.More)})
	}
	for _, w := range x.Wrong {
		out.Wrong = append(out.Wrong, wrongRowOf(x.After.File, w))
	}
	if x.Same < len(x.After.Readings)*2/3 {
		out.Doubts = append(out.Doubts, fmt.Sprintf("Only %d of the %d readings after were also taken before; read the same points with the same gates open, and the comparison sharpens.", x.Same, len(x.After.Readings)))
	}
	out.Verdict = repairVerdict(out)
	out.Summary = repairSummary(out)
	return out
}

func repairVerdict(r *Repair) string {
	switch {
	case r.Improved >= decided:
		return "better"
	case r.Worse >= decided:
		return "worse"
	case r.Improved+r.Worse <= 1-decided*0.5-0.25:
		return "same"
	}
	return "not shown"
}

func repairSummary(r *Repair) []string {
	first := map[string]string{
		"better":    fmt.Sprintf("It is better than before: %s.", percent(r.Improved)),
		"worse":     fmt.Sprintf("It is worse than before: %s.", percent(r.Worse)),
		"same":      fmt.Sprintf("Nothing that these readings can see has changed: better %s, worse %s.", percent(r.Improved), percent(r.Worse)),
		"not shown": fmt.Sprintf("Whether it is better is not shown: better %s, worse %s.", percent(r.Improved), percent(r.Worse)),
	}[r.Verdict]
	out := []string{first}
	if len(r.Changes) > 0 && r.Verdict != "same" {
		out = append(out, title(repairWords(r.Changes[0]))+".")
	}
	if r.Sealing != nil {
		out = append(out, sealWords(r))
	}
	return out
}

// sealWords says whether what was sealed was the leak.
func sealWords(r *Repair) string {
	where := r.Sealed
	if len(r.Zone) > 1 {
		where += " (followed as one with " + listed(without(r.Zone, []string{r.Sealed})) + ")"
	}
	switch p := *r.Sealing; {
	case p >= decided:
		return fmt.Sprintf("What was sealed at %s was the leak: %s.", where, percent(p))
	case p >= 0.5:
		return fmt.Sprintf("What was sealed at %s was probably the leak: %s.", where, percent(p))
	case r.Improved < 0.5:
		return fmt.Sprintf("What was sealed at %s was hardly the leak (%s): nothing got better.", where, percent(p))
	}
	return fmt.Sprintf("What was sealed at %s was hardly the leak (%s); something else changed, or it lies elsewhere.", where, percent(*r.Sealing))
}

// repairWords says what changed and by how much.
func repairWords(c RepairPart) string {
	if c.Change == nil {
		return c.Name
	}
	v := c.Change
	switch c.Gauge {
	case "leak-area":
		if v.Value < 0 {
			return fmt.Sprintf("%s: %s smaller (%s to %s)", c.Name, withUnit(-v.Value, v.Unit), shown(math.Max(-v.High, 0)), shown(-v.Low))
		}
		return fmt.Sprintf("%s: %s larger (%s)", c.Name, withUnit(v.Value, v.Unit), v.span())
	case "filter-drop":
		return fmt.Sprintf("%s: %s what it was (%s)", c.Name, withUnit(v.Value, "x"), v.span())
	case "fan-speed":
		return fmt.Sprintf("%s: %s of what it was (%s)", c.Name, withUnit(v.Value, v.Unit), v.span())
	}
	return fmt.Sprintf("%s: its loss changed by %s velocity pressures (%s)", c.Name, shown(v.Value), v.span())
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
		if i == 0 {
			color = map[string]string{"better": good, "worse": bad}[r.Verdict]
		}
		p.para("", x, color)
	}
	if len(r.Changes) > 0 {
		p.heading("What may have changed")
		for _, c := range r.Changes {
			p.para("* ", fmt.Sprintf("%s: %s", percent(c.Probability), repairWords(c)), plainText)
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
	p.heading("Air at the ports, each with its own gates open, in " + r.Ports[0].Unit)
	t := layout.Table{Columns: []layout.Column{{Head: "port", Least: 8}, {Head: "before", Right: true}, {Head: "after", Right: true}, {Head: "change", Right: true}, {Head: "9 in 10 sure, %", Right: true}, {Head: "need", Right: true}, {Head: "gets more", Right: true}}}
	for _, x := range r.Ports {
		t.Rows = append(t.Rows, []string{x.Port, shown(x.Before), shown(x.After), ratioText(x.Ratio.Value), strings.ReplaceAll(ratioText(x.Ratio.Low)+" to "+ratioText(x.Ratio.High), " %", ""), needed(x.Need), percent(x.More)})
	}
	p.table("", t, nil)
}

// ratioText is a factor as a change.
func ratioText(v float64) string { return fmt.Sprintf("%+.1f %%", 100*(v-1)) }
