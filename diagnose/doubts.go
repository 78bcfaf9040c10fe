package diagnose

import (
	"math"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/weigh"
)

// doubts says what weakens a result.
func doubts(p *weigh.Posterior, r *Result) []fault.Doubt {
	var out []fault.Doubt
	s := p.G.S
	if n := len(s.Observation); n < 6 {
		out = append(out, fault.Doubt{Kind: fault.FewReadings, Count: n})
	}
	if len(r.Baselines) == 0 && len(p.Asked) == 0 { // of one left out it is said why
		out = append(out, fault.Doubt{Kind: fault.NoBaseline})
	}
	out = append(out, p.Asked...)
	out = append(out, roomDoubts(r)...)
	f := p.Sets[0]
	m := float64(len(s.Observation) - len(f.Rows))
	if r.Instead.Kind != fault.NoDoubt { // what the faults would make of such readings is of no use
		return append(out, p.DataErrorDoubts(false)...)
	}
	if m > 3 && f.Fit.Quad > m+4*math.Sqrt(2*m) {
		out = append(out, fault.Doubt{Kind: fault.LooseFit})
	}
	if p.Unlisted > 0.1 {
		out = append(out, fault.Doubt{Kind: fault.OffTheList, Share: p.Unlisted})
	}
	if len(r.Fragile) > 0 {
		out = append(out, fault.Doubt{Kind: fault.FragileAnswer})
	}
	out = append(out, p.DataErrorDoubts(slices.ContainsFunc(r.Faults, OfSystem))...)
	out = append(out, branchDoubts(r)...)
	for _, w := range f.Rows {
		if w.Drop {
			row := s.B.Survey.Rows[s.Observation[w.Observation].Rows[0]]
			out = append(out, fault.Doubt{Kind: fault.RowLeftOut, Count: row.Line, Slip: w.Reason})
		}
	}
	if r.Verdict == Unclear && len(r.Next) == 0 {
		out = append(out, fault.Doubt{Kind: fault.NothingToRead})
	}
	if n := len(s.M.Sys.Ports) - len(p.PortsAsked()); n > 0 {
		out = append(out, fault.Doubt{Kind: fault.PortsLeftOut, Count: n})
	}
	if !f.Settled() {
		out = append(out, fault.Doubt{Kind: fault.Unsettled})
	}
	return out
}

// wideHole is the share of a duct's bore above which a hole looks like a branch.
const wideHole = 0.4

// branchDoubts asks after branches that the page may lack: to the readings an
// open one is a hole as wide as itself.
func branchDoubts(r *Result) []fault.Doubt {
	var out []fault.Doubt
	for _, f := range r.Faults {
		if f.Kind != fault.Leak {
			continue
		}
		for i := range r.System.Ducts {
			d := &r.System.Ducts[i]
			if d.ID == f.Where && f.Severity.Value > wideHole*math.Pi/4*d.Diameter*d.Diameter {
				out = append(out, fault.Doubt{Kind: fault.HugeHole, Where: d.ID})
			}
		}
	}
	return out
}
