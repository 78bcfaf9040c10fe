package report

import (
	"fmt"

	"lostair/diagnose/fault"
	"lostair/diagnose/plan"
	"lostair/readings/units"
	"lostair/report/layout"
	"lostair/report/show"
)

// Shown is the smallest fault of one kind that the round shows.
type Shown struct {
	Kind   string  `json:"kind"`
	Best   *Amount `json:"best,omitempty"`    // where it shows best; absent: nowhere
	BestAt string  `json:"best_at,omitempty"` // that place
	Usual  *Amount `json:"usual,omitempty"`   // at the middle one of the places; absent: at most places it does not show
	Blind  int     `json:"blind"`             // places where the round shows nothing of this kind
	Places int     `json:"places"`
}

// ShownOf puts the smallest faults that show into the reader's units.
func ShownOf(all []plan.Shown, u units.System) []Shown {
	var out []Shown
	for _, s := range all {
		x := Shown{Kind: s.Kind.String(), BestAt: s.BestAt, Blind: s.Blind, Places: s.Places}
		if s.BestAt != "" {
			a := AmountOf(s.Best, s.Kind.Dimension(), u)
			x.Best = &a
		}
		if s.Usual != 0 {
			a := AmountOf(s.Usual, s.Kind.Dimension(), u)
			x.Usual = &a
		}
		out = append(out, x)
	}
	return out
}

// Shows is a table of the smallest faults that show.
func Shows(p *show.Page, list []Shown) {
	b := layout.Table{Columns: []layout.Column{{Head: "fault"}, {Head: "at best"}, {Head: "at most places"}, {Head: "would go unnoticed at"}}}
	for _, sh := range list {
		b.Rows = append(b.Rows, sh.cells())
	}
	p.Table("", b, nil)
	p.Para("", show.ShowsNote, show.PlainText)
}

// hides says of a system that looks sound what may hide in it.
func hides(p *show.Page, r *Result) {
	if len(r.Shows) == 0 {
		return
	}
	p.Heading("What could still hide")
	p.Para("", "Faults milder than these:", show.PlainText)
	Shows(p, r.Shows)
}

// size is a severity with a word that says what it is a share of.
func (s Shown) size(a *Amount) string {
	t := show.WithUnit(show.TwoFigures(a.Value), a.Unit)
	switch s.Kind {
	case fault.Blockage.String():
		t += " closed"
	case fault.GateRestricted.String():
		t += " open"
	case fault.FanWeak.String():
		t += " speed"
	}
	return t
}

// Cells are the columns of the table of what shows.
func (s Shown) Cells() []string { return s.cells() }

func (s Shown) cells() []string {
	best, usual, blind := "-", "-", "-"
	if s.Best != nil {
		best = s.size(s.Best)
	}
	if s.Usual != nil {
		usual = s.size(s.Usual)
	}
	if s.Blind > 0 {
		blind = fmt.Sprintf("%d of %s", s.Blind, show.Plural(s.Places, "place"))
	}
	return []string{show.KindShort(s.Kind), best, usual, blind}
}
