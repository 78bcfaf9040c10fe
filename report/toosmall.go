package report

import (
	"fmt"

	"lostair/diagnose"
	"lostair/readings/units"
	"lostair/report/finding"
	"lostair/report/show"
)

func (c Converter) tooSmall(t diagnose.TooSmall) TooSmall {
	out := TooSmall{Port: t.Port, Where: t.Where, Probability: show.Probability(t.Probability), Open: t.Open.String(),
		Need: show.Value(t.Need, units.Flow, c.U), Meets: t.Meets}
	if t.Buy > 0 {
		size := show.AmountOf(t.Buy, units.Diameter, c.U)
		out.Buy, out.Ducts, out.Then = &size, t.Ducts, show.IntervalOf(t.Then, units.Flow, c.U)
	}
	if s := t.Slow; s != nil {
		out.Slow = &Slowed{Duct: s.Duct, Open: s.Open.String(), Velocity: show.AmountOf(s.Velocity, units.Velocity, c.U), Least: show.AmountOf(s.Least, units.Velocity, c.U)}
	}
	return out
}

// Words say in a sentence what is too small, what to buy and what that brings.
func (t TooSmall) Words() string {
	s := fmt.Sprintf("%s, by %s (%s, %s)", t.Port, t.Where, show.Chance(t.Probability), show.Percent(t.Probability))
	if t.Buy == nil || t.Then == nil {
		return s + fmt.Sprintf(": no wider size brings the %s that it needs.", show.Shown(t.Need))
	}
	s += fmt.Sprintf(": %s brings %s %s (%s), and it needs %s", show.WithUnit(t.Buy.Value, t.Buy.Unit), t.Then.Mid(), t.Then.Unit, t.Then.Span(), show.Shown(t.Need))
	if !t.Meets {
		s += "; no standard size brings that"
	}
	s += "."
	if t.Slow != nil {
		s += " " + finding.Slow(t.Slow.Open, t.Slow.Duct, t.Slow.Velocity, t.Slow.Least)
	}
	return s
}
