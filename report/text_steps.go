package report

import (
	"fmt"
	"slices"
	"strings"

	"lostair/report/layout"
	"lostair/report/show"
)

// steps shows what to do, first things first.
func steps(p *show.Page, r *Result) {
	steps := r.Fixes
	if len(steps) == 0 {
		steps = fromFaults(r.Faults)
	}
	if len(steps) == 0 {
		return
	}
	p.Heading("What to do, first things first")
	for i, f := range steps {
		lead := fmt.Sprintf("%d. ", i+1)
		rest := strings.Repeat(" ", len(lead))
		p.Para(lead, f.Do+CostWords(f.Cost), show.PlainText)
		if a := Against(r, f.For); a != "" {
			p.Para(rest+"Against: ", a, show.PlainText)
		}
		if f.Hint != "" {
			p.Para(rest+"Or: ", f.Hint, show.PlainText)
		}
		gains(p, rest+"  ", f.Gains)
	}
}

// fromFaults makes a step of each asserted fault, for a result without fixes.
// Wrong rows have a section of their own.
func fromFaults(faults []Fault) []Fix {
	main, narrow, _ := Sorted(faults)
	return show.Each(append(main, narrow...), func(f Fault) Fix {
		return Fix{For: append([]Candidate{f.Candidate}, f.Alike...), Do: f.Do, Gains: f.Gains}
	})
}

// Against names what a step mends: the fault by its number, or "" if there is
// but one above; by its name what has no number.
func Against(r *Result, faults []Candidate) string {
	main, narrow, _ := Sorted(r.Faults)
	all := append(main, narrow...)
	var names []string
	for _, c := range faults {
		n := c.Name
		if i := numberOf(all, c); i > 0 {
			n = fmt.Sprintf("fault %d", i)
		}
		if !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	if len(all) == 1 && len(names) == 1 && names[0] == "fault 1" {
		return ""
	}
	if most := 3; len(names) > most {
		names = append(names[:most:most], fmt.Sprintf("%d more", len(names)-most))
	}
	return show.Listed(names)
}

// numberOf is under which number a candidate stands, itself or as what looks
// the same; 0: under none.
func numberOf(faults []Fault, c Candidate) int {
	for i, f := range faults {
		for _, x := range append([]Candidate{f.Candidate}, f.Alike...) {
			if x.Kind == c.Kind && x.Where == c.Where {
				return i + 1
			}
		}
	}
	return 0
}

func CostWords(cost int) string {
	switch cost {
	case 1:
		return " (minutes)"
	case 2:
		return " (about an hour)"
	case 3:
		return " (needs parts)"
	case 4:
		return " (a rebuild)"
	}
	return ""
}

// gains shows what a step would give each port.
func gains(p *show.Page, indent string, gains []Gain) {
	if len(gains) == 0 {
		return
	}
	t := layout.Table{Columns: []layout.Column{{Head: "port", Least: 8}, {Head: "gates open", Least: 8}, {Head: "now", Right: true},
		{Head: "then", Right: true}, {Head: "9 in 10 sure", Right: true}, {Head: "need", Right: true}, {Head: ""}}}
	for i, g := range gains {
		if i == mostEvidence {
			break
		}
		then, span, unit := "-", "", ""
		if g.After != nil {
			then, span, unit = g.After.Mid(), g.After.Span(), g.After.Unit
		}
		t.Rows = append(t.Rows, []string{g.Port, show.Briefly(g.Open), show.Shown(g.Before), then, span, Needed(g.Need), unit})
	}
	p.Table(indent, t, nil)
}

func Needed(v float64) string {
	if v == 0 {
		return "-"
	}
	return show.Shown(v)
}

// wrongRows shows the rows that look wrong.
func wrongRows(p *show.Page, r *Result) {
	_, _, rows := Sorted(r.Faults)
	if len(rows) == 0 {
		return
	}
	p.Heading("Readings that look wrong")
	for _, f := range rows {
		p.Para("* ", WrongRowWords(f), show.PlainText)
	}
}

func WrongRowWords(f Fault) string {
	s := f.Where
	if w := f.Row; w != nil {
		s = fmt.Sprintf("line %d of %s: %s %s with %s, written as %s", w.Line, FileName(w.File), w.Point, show.Quantity(w.Quantity), show.Gates(w.Open), strings.TrimSpace(w.Value+" "+w.Unit))
	}
	if f.Why != "" {
		s += ": " + f.Why
	}
	s += fmt.Sprintf(" (%s, %s).", show.Chance(f.Probability), show.Percent(f.Probability))
	switch {
	case f.Severity == nil:
	case f.HowBad == show.NothingFits:
		s += " " + show.Title(f.HowBad) + "."
	default:
		s += fmt.Sprintf(" %s (%s).", show.Title(f.HowBad), f.Severity.Span())
	}
	return s + " The result is made without it: take the reading again, or correct the row."
}

// whatNext shows what to read next.
func whatNext(p *show.Page, r *Result) {
	if len(r.Next) == 0 {
		return
	}
	p.Heading("What to read next")
	if r.Enough.Yes {
		p.Para("", r.Enough.Why+" What would help beyond:", show.PlainText)
	}
	for i, n := range NextSteps(r.Next) {
		if i == mostNext {
			break
		}
		lead := fmt.Sprintf("%d. ", i+1)
		p.Para(lead, n.Words(), show.PlainText)
		p.Para(strings.Repeat(" ", len(lead)), NextWorth(n.Next), show.PlainText)
	}
}

func NextWords(n Next) string {
	if n.Look != "" {
		return n.Look
	}
	s := fmt.Sprintf("%s at %s, with %s", show.Title(show.Quantity(n.Quantity)), placeOf(n), show.Gates(n.Open))
	if n.Again {
		s = "Once more " + show.Lower(s)
	}
	if n.HoseOff != "" {
		s += fmt.Sprintf(" and the hose off the machine at %s", n.HoseOff)
	}
	return s
}

// placeOf is where to read.
func placeOf(n Next) string {
	if n.NewTap == nil {
		return n.Point
	}
	return fmt.Sprintf("a new tap, %s, %s %s from the upstream end of %s", n.Point, show.Shown(n.NewTap.At.Value), n.NewTap.At.Unit, n.NewTap.Duct)
}

// settles says in words how much a reading is expected to settle.
func settles(bits float64) string {
	switch {
	case bits > 0.8:
		return "settles most of what is open"
	case bits > 0.4:
		return "settles much of what is open"
	case bits > 0.1:
		return "settles some of what is open"
	}
	return "settles a little of what is open"
}

// NextWorth says why, and what it costs and brings.
func NextWorth(n Next) string {
	s := show.Title(n.Why)
	if s != "" && !strings.HasSuffix(s, ".") {
		s += "."
	}
	worth := settles(n.Bits)
	if n.Minutes > 0 {
		worth = fmt.Sprintf("About %s min; %s", show.Shown(n.Minutes), worth)
	}
	return strings.TrimSpace(s + " " + worth + ".")
}
