package diagnose

import (
	"fmt"
	"math"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/weigh"
)

// doubts says what weakens a result and what would help.
func doubts(p *weigh.Posterior, r *Result) []string {
	var out []string
	s := p.G.S
	if n := len(s.Observation); n < 6 {
		few := fmt.Sprintf("Only %d readings", n)
		if n == 1 {
			few = "Only one reading"
		}
		out = append(out, few+": most faults can't be seen. Read each drop's tap with its gate alone open.")
	}
	if len(r.Baselines) == 0 && len(p.Asked) == 0 { // of one left out it is said why
		out = append(out, "No earlier sound survey was given, so the losses of the system file stand in for it; a survey kept from a good day sharpens every answer (--baseline).")
	}
	out = append(out, p.Asked...)
	f := p.Sets[0]
	m := float64(len(s.Observation) - len(f.Rows))
	if r.Instead != "" { // what the faults would make of such readings is of no use
		return append(out, p.DataErrorWords(false)...)
	}
	if m > 3 && f.Fit.Quad > m+4*math.Sqrt(2*m) {
		out = append(out, "Even the best explanation leaves readings further off than their instruments allow: check diameters, lengths and gates in the system file against the shop.")
	}
	if p.Unlisted > 0.1 {
		out = append(out, fmt.Sprintf("There is a %.0f %% chance of something that is not on the list of faults, a wrong system file among it.", 100*p.Unlisted))
	}
	if d := fragileDoubt(r.Fragile); d != "" {
		out = append(out, d)
	}
	out = append(out, p.DataErrorWords(slices.ContainsFunc(r.Faults, OfSystem))...)
	out = append(out, branchDoubts(r)...)
	for _, w := range f.Rows {
		if w.Drop {
			row := s.B.Survey.Rows[s.Observation[w.Observation].Rows[0]]
			out = append(out, fmt.Sprintf("Row %d was left out, since %s; take it again.", row.Line, w.Reason))
		}
	}
	if r.Verdict == Unclear && len(r.Next) == 0 {
		out = append(out, "No fault stands out, and no single further reading would settle it: take those furthest from a sound system again, with another instrument if there is one.")
	}
	if !f.Settled {
		out = append(out, "The best explanation was still moving when the search for it stopped; take its figures as rough.")
	}
	return out
}

// wideHole is the share of a duct's bore above which a hole looks like a branch.
const wideHole = 0.4

// branchDoubts asks after branches that the page may lack: to the readings an
// open one is a hole as wide as itself.
func branchDoubts(r *Result) []string {
	var out []string
	for _, f := range r.Faults {
		if f.Kind != fault.Leak {
			continue
		}
		for i := range r.System.Ducts {
			d := &r.System.Ducts[i]
			if d.ID == f.Where && f.Severity.Value > wideHole*math.Pi/4*d.Diameter*d.Diameter {
				out = append(out, fmt.Sprintf("A hole as large as that at %s is hard to overlook: look whether an open branch joins there that the system file lacks, or a hose has come off.", d.ID))
			}
		}
	}
	return out
}
