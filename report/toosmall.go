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
		size := AmountOf(t.Buy, units.Diameter, c.U)
		out.Buy, out.Ducts, out.Then = &size, t.Ducts, IntervalOf(t.Then, units.Flow, c.U)
	}
	if s := t.Slow; s != nil {
		out.Slow = &Slowed{Duct: s.Duct, Open: s.Open.String(), Velocity: AmountOf(s.Velocity, units.Velocity, c.U), Least: AmountOf(s.Least, units.Velocity, c.U)}
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

// words warn of dust that would settle.
func (s Slowed) words() string {
	return fmt.Sprintf("But with %s the air in %s then moves at %s only, and needs %s to carry its dust.", show.Gates(s.Open), s.Duct,
		show.WithUnit(show.TwoFigures(s.Velocity.Value), s.Velocity.Unit), show.WithUnit(s.Least.Value, s.Least.Unit))
}

// ducts are the tree of the system.
func (c Converter) ducts() []Duct {
	if c.D.System == nil {
		return nil
	}
	s := c.D.System
	out := make([]Duct, len(s.Ducts))
	for i := range s.Ducts {
		d := &s.Ducts[i]
		out[i] = Duct{ID: d.ID, Into: "collector", Diameter: AmountOf(d.Diameter, units.Diameter, c.U), Gate: d.Gate}
		if d.Rectangular() {
			w, h := AmountOf(d.Width, units.Diameter, c.U), AmountOf(d.Height, units.Diameter, c.U)
			out[i].Width, out[i].Height = &w, &h
		}
		if d.Into >= 0 && d.Into < len(s.Ducts) {
			out[i].Into = s.Ducts[d.Into].ID
		}
	}
	for _, p := range s.Ports {
		if p.Duct >= 0 && p.Duct < len(out) {
			out[p.Duct].Port = p.ID
		}
	}
	return out
}
