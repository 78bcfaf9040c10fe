package report

import (
	"fmt"

	"lostair/diagnose/fault"
	"lostair/diagnose/plan"
	"lostair/readings/units"
	"lostair/report/show"
)

// ShownOf puts the smallest faults that show into the reader's units.
func ShownOf(all []plan.Shown, u units.System) []Shown {
	var out []Shown
	for _, s := range all {
		x := Shown{Kind: s.Kind.String(), BestAt: s.BestAt, Blind: s.Blind, Places: s.Places}
		if s.BestAt != "" {
			a := show.AmountOf(s.Best, s.Kind.Dimension(), u)
			x.Best = &a
		}
		if s.Usual != 0 {
			a := show.AmountOf(s.Usual, s.Kind.Dimension(), u)
			x.Usual = &a
		}
		out = append(out, x)
	}
	return out
}

// size is a severity with a word that says what it is a share of.
func (s Shown) size(a *show.Amount) string {
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
func (s Shown) Cells() []string {
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
