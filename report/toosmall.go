package report

import (
	"fmt"
	"strings"

	"lostair/diagnose"
	"lostair/readings/units"
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

// buyWords say what to replace by what, and whether that is enough.
func (c Converter) buyWords(t diagnose.TooSmall) string {
	size := show.WithUnit(show.Value(t.Buy, units.Diameter, c.U), units.Diameter.Symbol(c.U))
	if !t.Meets {
		return fmt.Sprintf("No standard size is enough for %s: %s in place of %s brings %s of the %s that it needs with %s. Its run has to be shorter, or the fan stronger.", t.Port, size, show.Listed(t.Ducts),
			show.Shown(show.Value(t.Then.Value, units.Flow, c.U)), show.WithUnit(show.Value(t.Need, units.Flow, c.U), units.Flow.Symbol(c.U)), show.Gates(t.Open.String()))
	}
	var do string
	switch d, ok := c.D.System.DuctNamed(t.Where); {
	case len(t.Ducts) > 1:
		do = fmt.Sprintf("Replace %s, one behind the other, with %s.", show.Listed(t.Ducts), size)
	case ok && c.D.System.Ducts[d].Material == "flexible":
		do = fmt.Sprintf("Replace the hose %s with one of %s.", t.Where, size)
	default:
		do = fmt.Sprintf("Replace %s by %s pipe.", strings.Join(t.Ducts, ""), size)
	}
	if slow := c.tooSmall(t).Slow; slow != nil {
		do += " " + slow.words()
	}
	if c.D.Fan != nil { // guessed
		do = "Once you know what the fan gives: " + show.Lower(do)
	}
	return do
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
		s += " " + t.Slow.words()
	}
	return s
}

// words warn of dust that would settle.
func (s Slowed) words() string {
	return fmt.Sprintf("But with %s the air in %s then moves at %s only, and needs %s to carry its dust.", show.Gates(s.Open), s.Duct,
		show.WithUnit(show.TwoFigures(s.Velocity.Value), s.Velocity.Unit), show.WithUnit(s.Least.Value, s.Least.Unit))
}
