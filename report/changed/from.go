package changed

import (
	"lostair/diagnose/whatif"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/show"
)

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
