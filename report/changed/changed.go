// Package changed shows what a change to a system would do.
package changed

import (
	"encoding/csv"
	"io"

	"lostair/report"
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

// Summary says in short what the changes do, over all settings asked for.
type Summary struct {
	Better     []string `json:"better"`      // ports that get more, the most gained first
	Worse      []string `json:"worse"`       // ports that get less, the most lost first
	NowEnough  []string `json:"now_enough"`  // ports that now get what they need
	NowShort   []string `json:"now_short"`   // ports that no longer do
	NowCarries []string `json:"now_carries"` // ducts whose air now carries the dust
	NowSlow    []string `json:"now_slow"`    // ducts whose air no longer does
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
