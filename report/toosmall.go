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
	return out
}

// buyWords say what to replace by what, and whether that is enough.
func (c Converter) buyWords(t diagnose.TooSmall) string {
	size := show.WithUnit(show.Value(t.Buy, units.Diameter, c.U), units.Diameter.Symbol(c.U))
	var do string
	switch d, ok := c.D.System.DuctNamed(t.Where); {
	case len(t.Ducts) > 1:
		do = fmt.Sprintf("Replace %s, one behind the other, with %s.", show.Listed(t.Ducts), size)
	case ok && c.D.System.Ducts[d].Material == "flexible":
		do = fmt.Sprintf("Replace the hose %s with one of %s.", t.Where, size)
	default:
		do = fmt.Sprintf("Replace %s by %s pipe.", strings.Join(t.Ducts, ""), size)
	}
	if !t.Meets {
		do += fmt.Sprintf(" That is still short of what %s needs: no wider size brings more, so its way or the fan has to change too.", t.Port)
	}
	return do
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
