package changed

import (
	"fmt"
	"io"
	"math"
	"strings"

	"lostair/report"
	"lostair/report/layout"
	"lostair/report/show"
)

// Text tells a comparison to a person: for each setting of the gates what
// changes, before and after side by side.
func Text(w io.Writer, x *WhatIf, s show.Style) error {
	p := show.NewPage(s)
	p.Para("", report.NameOf(x.System), show.Bold)
	if len(x.Changes) == 0 {
		p.Para("", "Nothing is changed (--set KEY=VALUE); these are the values as the system file has them.", show.PlainText)
	}
	for _, c := range x.Changes {
		if c.Before == "" {
			p.Para("  ", fmt.Sprintf("%s: %s", c.Key, c.After), show.PlainText)
		} else {
			p.Para("  ", fmt.Sprintf("%s: %s -> %s", c.Key, c.Before, c.After), show.PlainText)
		}
	}
	if len(x.Changes) > 0 {
		inShort(p, x.Summary)
	}
	for _, g := range x.Settings {
		p.Heading(show.Title(show.Gates(g.Open)))
		whatIf(p, g, len(x.Changes) == 0, s.All)
	}
	p.Blank()
	p.Para("", x.Note, show.PlainText)
	return p.Write(w)
}

// inShort says what the changes do, before the tables.
func inShort(p *show.Page, s Summary) {
	p.Blank()
	list := s.lines()
	if len(list) == 0 {
		p.Para("", "No port gains or loses half a percent of its air, and no duct becomes too slow.", show.PlainText)
	}
	for _, l := range list {
		p.Para(l.label, l.text, l.color)
	}
}

// whatIf is the table of one setting: values as they are, else those that change;
// in brief ports and what crosses a bound.
func whatIf(p *show.Page, g Setting, all, every bool) {
	t := layout.Table{Columns: []layout.Column{{Head: "where", Least: 10}, {Head: "what", Least: 8}, {Head: "before", Right: true}, {Head: "after", Right: true},
		{Head: "change", Right: true}, {Head: "least", Right: true}, {Head: "unit"}, {Head: "", Least: 6}}}
	left, more := 0, 0
	var marks []string
	for _, r := range g.Rows {
		if !all && r.What != "port" && math.Abs(r.After-r.Before) < leastShown*math.Abs(r.Before) {
			left++
			continue
		}
		if !all && !every && r.What != "port" && !(r.Least > 0 && strings.HasPrefix(whatIfMark(r), "now")) {
			more++
			continue
		}
		least, mark := "", ""
		if r.Least > 0 {
			least, mark = show.Even(r.Least), whatIfMark(r)
		}
		marks = append(marks, mark)
		t.Rows = append(t.Rows, []string{r.Where, whatWords(r), show.Even(r.Before), show.Even(r.After), show.ChangeOf(r.Before, r.After), least, r.Unit, mark})
	}
	if len(t.Rows) > 0 {
		p.Table("", t, func(row, column int) string {
			if column != 7 {
				return show.PlainText
			}
			switch marks[row] {
			case "enough", "now enough", "carries", "now carries":
				return show.Good
			}
			return show.Bad
		})
	}
	if more > 0 {
		p.Para("", fmt.Sprintf("%d more values of ducts, taps and collector change (--all).", more), show.PlainText)
	}
	if left > 0 && every {
		p.Para("", fmt.Sprintf("%d values change by less than half a percent and are left out.", left), show.PlainText)
	}
}

// whatWords is a value in a column.
func whatWords(r Row) string {
	switch r.Quantity {
	case "static_pressure":
		return "static"
	case "pressure_drop":
		return "drop"
	case "flow":
		return "flow"
	}
	return "velocity"
}
