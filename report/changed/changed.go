// Package changed shows what a change to a system would do.
package changed

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strings"

	"lostair/diagnose/whatif"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/layout"
	"lostair/report/show"
)

// WhatIf is a system before and after some changes, in the reader's units.
type WhatIf struct {
	Version  int           `json:"version"` // see Version
	System   report.System `json:"system"`
	Changes  []Change      `json:"changes"`
	Summary  Summary       `json:"summary"`        // what the changes do, in short
	Settings []Setting     `json:"settings"`       // of the gates, in the order asked for
	Note     string        `json:"note"`           // what the values hold for
	Kept     string        `json:"kept,omitempty"` // what lostair show makes it from again, packed by package kept; for this program alone
}

// Change is one thing that is changed.
type Change struct {
	Key    string `json:"key"`              // such as "planer-drop.diameter"
	Before string `json:"before,omitempty"` // with its unit; absent of what the system file doesn't have
	After  string `json:"after"`
}

// Setting is one setting of the gates.
type Setting struct {
	Open string `json:"open"` // gates open: ids joined with "+", "all" or "none"
	Rows []Row  `json:"rows"` // ports, ducts, taps, then the collector
}

// Row is one value before and after.
type Row struct {
	What     string  `json:"what"` // "port", "duct", "tap" or "collector"
	Where    string  `json:"where"`
	Quantity string  `json:"quantity"`
	Before   float64 `json:"before"`
	After    float64 `json:"after"`
	Unit     string  `json:"unit"`            // of Before, After and Least
	Least    float64 `json:"least,omitempty"` // need of a port, conveying velocity of a duct; absent if there is none
}

// From puts a comparison into the reader's units.
func From(x *whatif.Comparison, u units.System) *WhatIf {
	out := &WhatIf{Version: report.Version, System: report.System{Name: x.System.Name, File: x.System.File, Units: u.String()}, Changes: []Change{}}
	faulty := false
	for _, c := range x.Changes {
		out.Changes = append(out.Changes, Change{c.Key, given(c.Before, u), given(c.After, u)})
		faulty = faulty || c.Faulty()
	}
	out.Note = "Computed from the system file, as if the system were sound and just as the file says; "
	if faulty {
		out.Note = "Computed from the system file, as if the system were just as the file says, apart from what is set here, and otherwise sound; "
	}
	out.Note += "what is built differs somewhat from it. It is no design: local codes and licensed practice come first."
	for _, g := range x.Settings {
		s := Setting{Open: g.Open.String()}
		for _, r := range g.Rows {
			d := r.Quantity.Dimension()
			s.Rows = append(s.Rows, Row{r.What, r.Where, r.Quantity.String(), show.Value(r.Before, d, u), show.Value(r.After, d, u), d.Symbol(u), show.Value(r.Least, d, u)})
		}
		out.Settings = append(out.Settings, s)
	}
	out.Summary = summaryOf(out.Settings)
	return out
}

// given shows what something is set to.
func given(g whatif.Amount, u units.System) string {
	if !g.Measured {
		return g.Name
	}
	return g.Name + units.Format(g.SI, g.Dimension, u)
}

// JSON writes x as one indented object.
func JSON(w io.Writer, x *WhatIf) error { return show.Encode(w, x) }

// CSV writes a row for each value.
func CSV(w io.Writer, x *WhatIf) error {
	c := csv.NewWriter(w)
	rows := [][]string{{"open", "what", "where", "quantity", "before", "after", "unit", "least"}}
	for _, s := range x.Settings {
		for _, r := range s.Rows {
			least := ""
			if r.Least > 0 {
				least = show.Number(r.Least)
			}
			rows = append(rows, []string{show.Guarded(s.Open), r.What, show.Guarded(r.Where), r.Quantity, show.Number(r.Before), show.Number(r.After), r.Unit, least})
		}
	}
	return c.WriteAll(rows)
}

// leastShown is the smallest change, as a share, that text shows.
const leastShown = 0.005

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

// whatIfMark says whether a value reaches what it must, and whether that changed.
func whatIfMark(r Row) string {
	yes, no := "enough", "short"
	if r.What == "duct" {
		yes, no = "carries", "too slow"
	}
	before, after := r.Before >= r.Least, r.After >= r.Least
	word := no
	if after {
		word = yes
	}
	if before != after {
		return "now " + word
	}
	return word
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
