package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lostair/report/layout"
)

// steps shows what to do, first things first.
func (p *page) steps(r *Result) {
	steps := r.Fixes
	if len(steps) == 0 {
		steps = fromFaults(r.Faults)
	}
	if len(steps) == 0 {
		return
	}
	p.heading("What to do, first things first")
	for i, f := range steps {
		lead := fmt.Sprintf("%d. ", i+1)
		rest := strings.Repeat(" ", len(lead))
		p.para(lead, f.Do+costWords(f.Cost), plainText)
		if a := against(r, f.For); a != "" {
			p.para(rest+"Against: ", a, plainText)
		}
		if f.Hint != "" {
			p.para(rest+"Or: ", f.Hint, plainText)
		}
		p.gains(rest+"  ", f.Gains)
	}
}

// fromFaults makes a step of each asserted fault, for a result without fixes.
// Wrong rows have a section of their own.
func fromFaults(faults []Fault) []Fix {
	main, narrow, _ := sorted(faults)
	return each(append(main, narrow...), func(f Fault) Fix {
		return Fix{For: append([]Candidate{f.Candidate}, f.Alike...), Do: f.Do, Gains: f.Gains}
	})
}

// against names what a step mends: the fault by its number, or "" if there is
// but one above; by its name what has no number.
func against(r *Result, faults []Candidate) string {
	main, narrow, _ := sorted(r.Faults)
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
	return listed(names)
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

func costWords(cost int) string {
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
func (p *page) gains(indent string, gains []Gain) {
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
			then, span, unit = g.After.mid(), g.After.span(), g.After.Unit
		}
		t.Rows = append(t.Rows, []string{g.Port, briefly(g.Open), shown(g.Before), then, span, needed(g.Need), unit})
	}
	p.table(indent, t, nil)
}

func needed(v float64) string {
	if v == 0 {
		return "-"
	}
	return shown(v)
}

// wrongRows shows the rows that look wrong.
func (p *page) wrongRows(r *Result) {
	_, _, rows := sorted(r.Faults)
	if len(rows) == 0 {
		return
	}
	p.heading("Readings that look wrong")
	for _, f := range rows {
		p.para("* ", wrongRow(f), plainText)
	}
}

// nothingFits is said of a wrong row in whose place no sensible value fits.
const nothingFits = "nothing near it fits"

func wrongRow(f Fault) string {
	s := f.Where
	if w := f.Row; w != nil {
		s = fmt.Sprintf("line %d of %s: %s %s with %s, written as %s", w.Line, fileName(w.File), w.Point, quantity(w.Quantity), gates(w.Open), strings.TrimSpace(w.Value+" "+w.Unit))
	}
	if f.Why != "" {
		s += ": " + f.Why
	}
	s += fmt.Sprintf(" (%s, %s).", chance(f.Probability), percent(f.Probability))
	switch {
	case f.Severity == nil:
	case f.HowBad == nothingFits:
		s += " " + title(f.HowBad) + "."
	default:
		s += fmt.Sprintf(" %s (%s).", title(f.HowBad), f.Severity.span())
	}
	return s + " The result is made without it: take the reading again, or correct the row."
}

// next shows what to read next.
func (p *page) next(r *Result) {
	if len(r.Next) == 0 {
		return
	}
	p.heading("What to read next")
	for i, n := range nextSteps(r.Next) {
		if i == mostNext {
			break
		}
		lead := fmt.Sprintf("%d. ", i+1)
		p.para(lead, n.words(), plainText)
		p.para(strings.Repeat(" ", len(lead)), nextWorth(n.Next), plainText)
	}
}

func nextWords(n Next) string {
	if n.Quantity == "" {
		return n.Look
	}
	s := fmt.Sprintf("%s at %s, with %s", title(quantity(n.Quantity)), n.Point, gates(n.Open))
	if n.HoseOff != "" {
		s += fmt.Sprintf(" and the machine at %s unhooked", n.HoseOff)
	}
	return s
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

// nextWorth says why, and what it costs and brings.
func nextWorth(n Next) string {
	s := title(n.Why)
	if s != "" && !strings.HasSuffix(s, ".") {
		s += "."
	}
	worth := fmt.Sprintf("%s (%s bits)", settles(n.Bits), strconv.FormatFloat(n.Bits, 'g', 2, 64))
	if n.Minutes > 0 {
		worth = fmt.Sprintf("About %s min; %s", shown(n.Minutes), worth)
	}
	return strings.TrimSpace(s + " " + worth + ".")
}
