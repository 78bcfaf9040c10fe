package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"

	"lostair/diagnose"
	"lostair/readings/units"
	"lostair/report/layout"
)

// WhatIf is a system before and after some changes, in the reader's units.
type WhatIf struct {
	Version  int             `json:"version"` // see Version
	System   System          `json:"system"`
	Changes  []WhatIfChange  `json:"changes"`
	Settings []WhatIfSetting `json:"settings"` // of the gates, in the order asked for
	Note     string          `json:"note"`     // what the values hold for
}

// WhatIfChange is one thing that is changed.
type WhatIfChange struct {
	Key    string `json:"key"`              // such as "planer-drop.diameter"
	Before string `json:"before,omitempty"` // with its unit; absent of what the system file doesn't have
	After  string `json:"after"`
}

// WhatIfSetting is one setting of the gates.
type WhatIfSetting struct {
	Open string      `json:"open"` // gates open: ids joined with "+", "all" or "none"
	Rows []WhatIfRow `json:"rows"` // ports, ducts, taps, then the collector
}

// WhatIfRow is one value before and after.
type WhatIfRow struct {
	What     string  `json:"what"` // "port", "duct", "tap" or "collector"
	Where    string  `json:"where"`
	Quantity string  `json:"quantity"`
	Before   float64 `json:"before"`
	After    float64 `json:"after"`
	Unit     string  `json:"unit"`            // of Before, After and Least
	Least    float64 `json:"least,omitempty"` // need of a port, conveying velocity of a duct; absent if there is none
}

// FromWhatIf puts a comparison into the reader's units.
func FromWhatIf(x *diagnose.WhatIf, u units.System) *WhatIf {
	out := &WhatIf{Version: Version, System: System{Name: x.System.Name, File: x.System.File, Units: u.String()}, Changes: []WhatIfChange{}}
	faulty := false
	for _, c := range x.Changes {
		out.Changes = append(out.Changes, WhatIfChange{c.Key, given(c.Before, u), given(c.After, u)})
		faulty = faulty || c.Faulty()
	}
	out.Note = "Reckoned from the system file, as if the system were sound and just as the file says; "
	if faulty {
		out.Note = "Reckoned from the system file, as if the system were just as the file says but for what is set here, and else sound; "
	}
	out.Note += "what is built lies some way off it. It is no design: local codes and licensed practice come first."
	for _, g := range x.Settings {
		s := WhatIfSetting{Open: g.Open.String()}
		for _, r := range g.Rows {
			d := r.Quantity.Dimension()
			s.Rows = append(s.Rows, WhatIfRow{r.What, r.Where, r.Quantity.String(), value(r.Before, d, u), value(r.After, d, u), d.Symbol(u), value(r.Least, d, u)})
		}
		out.Settings = append(out.Settings, s)
	}
	return out
}

// given shows what something is set to.
func given(g diagnose.Given, u units.System) string {
	if !g.Measured {
		return g.Name
	}
	return g.Name + units.Format(g.SI, g.Dimension, u)
}

// WhatIfJSON writes x as one indented object.
func WhatIfJSON(w io.Writer, x *WhatIf) error { return encode(w, x) }

// WhatIfCSV writes a row for each value.
func WhatIfCSV(w io.Writer, x *WhatIf) error {
	c := csv.NewWriter(w)
	rows := [][]string{{"open", "what", "where", "quantity", "before", "after", "unit", "least"}}
	for _, s := range x.Settings {
		for _, r := range s.Rows {
			least := ""
			if r.Least > 0 {
				least = number(r.Least)
			}
			rows = append(rows, []string{guarded(s.Open), r.What, guarded(r.Where), r.Quantity, number(r.Before), number(r.After), r.Unit, least})
		}
	}
	return c.WriteAll(rows)
}

// number is a value in a CSV.
func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// leastShown is the smallest change, as a share, that text shows.
const leastShown = 0.005

// WhatIfText tells a comparison to a person: for each setting of the gates what
// changes, before and after side by side.
func WhatIfText(w io.Writer, x *WhatIf, s Style) error {
	p := newPage(s)
	p.para("", nameOf(x.System), bold)
	if len(x.Changes) == 0 {
		p.para("", "Nothing is changed (--set KEY=VALUE); these are the values as the system file has them.", plainText)
	}
	for _, c := range x.Changes {
		if c.Before == "" {
			p.para("  ", fmt.Sprintf("%s: %s", c.Key, c.After), plainText)
		} else {
			p.para("  ", fmt.Sprintf("%s: %s -> %s", c.Key, c.Before, c.After), plainText)
		}
	}
	for _, g := range x.Settings {
		p.heading(title(gates(g.Open)))
		p.whatIf(g, len(x.Changes) == 0)
	}
	p.blank()
	p.para("", x.Note, plainText)
	return p.writeTo(w)
}

func nameOf(s System) string {
	if s.Name != "" {
		return s.Name
	}
	return fileName(s.File)
}

func (p *page) whatIf(g WhatIfSetting, all bool) {
	t := layout.Table{Columns: []layout.Column{{Head: "where", Least: 10}, {Head: "what", Least: 8}, {Head: "before", Right: true}, {Head: "after", Right: true},
		{Head: "change", Right: true}, {Head: "least", Right: true}, {Head: "unit"}, {Head: "", Least: 6}}}
	left := 0
	var marks []string
	for _, r := range g.Rows {
		if !all && r.What != "port" && math.Abs(r.After-r.Before) < leastShown*math.Abs(r.Before) {
			left++
			continue
		}
		least, mark := "", ""
		if r.Least > 0 {
			least, mark = even(r.Least), whatIfMark(r)
		}
		marks = append(marks, mark)
		t.Rows = append(t.Rows, []string{r.Where, whatWords(r), even(r.Before), even(r.After), changeOf(r.Before, r.After), least, r.Unit, mark})
	}
	if len(t.Rows) > 0 {
		p.table("", t, func(row, column int) string {
			if column != 7 {
				return plainText
			}
			switch marks[row] {
			case "enough", "now enough", "carries", "now carries":
				return good
			}
			return bad
		})
	}
	if left > 0 {
		p.para("", fmt.Sprintf("%d values change by less than half a percent and are left out.", left), plainText)
	}
}

// whatIfMark says whether a value reaches what it must, and whether that changed.
func whatIfMark(r WhatIfRow) string {
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
func whatWords(r WhatIfRow) string {
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

// changeOf is a relative change as text.
func changeOf(before, after float64) string {
	if before == 0 {
		return ""
	}
	d := (after - before) / math.Abs(before)
	if before < 0 {
		d = -d // more suction is more
	}
	return ratioText(1 + d)
}

// even shows a value to three figures, zeros at the end included, so that a
// column lines up.
func even(v float64) string {
	switch a := math.Abs(v); {
	case a == 0:
		return "0"
	case a >= 99.95:
		return fmt.Sprintf("%.0f", v)
	case a >= 9.995:
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.2f", v)
}

// evenSpan is an interval in even figures.
func evenSpan(v *Interval) string { return even(v.Low) + " to " + even(v.High) }

// about shows three figures at most, of large values too.
func about(v float64) string {
	if math.Abs(v) >= 1000 {
		k := math.Pow(10, math.Floor(math.Log10(math.Abs(v)))-2)
		return fmt.Sprintf("%.0f", math.Round(v/k)*k)
	}
	return shown(v)
}
