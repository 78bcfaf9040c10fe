package diagnose

import (
	"fmt"
	"math"
	"slices"
)

// doubts says what weakens a result and what would help.
func (p *posterior) doubts(r *Result) []string {
	var out []string
	s := p.g.s
	if n := len(s.obs); n < 6 {
		few := fmt.Sprintf("Only %d readings", n)
		if n == 1 {
			few = "Only one reading"
		}
		out = append(out, few+": most faults can't be seen. Read each drop's tap with its gate alone open.")
	}
	if len(r.Baselines) == 0 && len(p.asked) == 0 { // of one left out it is said why
		out = append(out, "No earlier sound survey was given, so the page's own losses stand in for it; a survey kept from a good day sharpens every answer (--baseline).")
	}
	out = append(out, p.asked...)
	f := p.sets[0]
	m := float64(len(s.obs) - len(f.rows))
	if r.Instead != "" { // what the faults would make of such readings is of no use
		return append(out, p.misgivings(false)...)
	}
	if m > 3 && f.fit.quad > m+4*math.Sqrt(2*m) {
		out = append(out, "Even the best explanation leaves readings further off than their instruments allow: check diameters, lengths and gates in the system file against the shop.")
	}
	if p.unlisted > 0.1 {
		out = append(out, fmt.Sprintf("There is a %.0f %% chance of something that is not on the list of faults, a wrong system file among it.", 100*p.unlisted))
	}
	out = append(out, p.misgivings(slices.ContainsFunc(r.Faults, ofSystem))...)
	out = append(out, branchDoubts(r)...)
	for _, w := range f.rows {
		if w.drop {
			row := s.b.survey.Rows[s.obs[w.obs].rows[0]]
			out = append(out, fmt.Sprintf("Row %d was left out, since it fits nothing else that was read; take it again.", row.Line))
		}
	}
	if r.Verdict == Unclear && len(r.Next) == 0 {
		out = append(out, "No fault stands out, and no single further reading would settle it: take those furthest from a sound system again, with another instrument if there is one.")
	}
	if !f.settled {
		out = append(out, "The best explanation was still moving when the search for it stopped; take its figures as rough.")
	}
	return out
}
