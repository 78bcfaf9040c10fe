package text

import (
	"fmt"
	"strings"

	"lostair/report"
	"lostair/report/layout"
	"lostair/report/show"
)

// steps shows what to do, first things first.
func steps(p *show.Page, r *report.Result) {
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
		p.Para(lead, f.Do+report.CostWords(f.Cost), show.PlainText)
		if a := report.Against(r, f.For); a != "" {
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
func fromFaults(faults []report.Fault) []report.Fix {
	main, narrow, _ := report.Sorted(faults)
	return show.Each(append(main, narrow...), func(f report.Fault) report.Fix {
		return report.Fix{For: append([]report.Candidate{f.Candidate}, f.Alike...), Do: f.Do, Gains: f.Gains}
	})
}

// gains shows what a step would give each port.
func gains(p *show.Page, indent string, gains []report.Gain) {
	if len(gains) == 0 {
		return
	}
	t := layout.Table{Columns: []layout.Column{{Head: "port", Least: 8}, {Head: "gates open", Least: 8}, {Head: "now", Right: true},
		{Head: "then", Right: true}, {Head: "9 in 10 sure", Right: true}, {Head: "need", Right: true}, {Head: ""}}}
	for i, g := range gains {
		if i == report.MostEvidence {
			break
		}
		then, span, unit := "-", "", ""
		if g.After != nil {
			then, span, unit = g.After.Mid(), g.After.Span(), g.After.Unit
		}
		t.Rows = append(t.Rows, []string{g.Port, show.Briefly(g.Open), show.Shown(g.Before), then, span, report.Needed(g.Need), unit})
	}
	p.Table(indent, t, nil)
}

// wrongRows shows the rows that look wrong.
func wrongRows(p *show.Page, r *report.Result) {
	_, _, rows := report.Sorted(r.Faults)
	if len(rows) == 0 {
		return
	}
	p.Heading("Readings that look wrong")
	for _, f := range rows {
		p.Para("* ", report.WrongRowWords(f), show.PlainText)
	}
}

// mostNext is how many things to do or to read are shown.
const mostNext = 5

// whatNext shows what to read next.
func whatNext(p *show.Page, r *report.Result) {
	if len(r.Next) == 0 {
		return
	}
	p.Heading("What to read next")
	if r.Enough.Yes {
		p.Para("", r.Enough.Why+" What would help beyond:", show.PlainText)
	}
	for i, n := range report.NextSteps(r.Next) {
		if i == mostNext {
			break
		}
		lead := fmt.Sprintf("%d. ", i+1)
		p.Para(lead, n.Words(), show.PlainText)
		p.Para(strings.Repeat(" ", len(lead)), report.NextWorth(n.Next), show.PlainText)
	}
}
