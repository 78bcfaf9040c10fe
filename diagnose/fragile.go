package diagnose

import (
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/weigh"
)

// fragile lists by which priors the first answer changes.
func fragile(p *weigh.Posterior, r *Result) []Fragile {
	if p.Lead != nil || r.Instead.Kind != fault.NoDoubt {
		return nil // the answer is not one of faults alone
	}
	groups := p.Groups()
	var out []Fragile
	for _, s := range p.Shifts(groups) {
		if s.Then == s.Now {
			continue
		}
		x := Fragile{Prior: priorOf(s.Prior), Kind: s.Prior.Kind, By: s.By}
		if s.Then >= 0 {
			c := Candidate(p, groups[s.Then].Head)
			x.Then = &c
		}
		out = append(out, x)
	}
	return out
}

func priorOf(x weigh.Prior) PriorOf {
	switch {
	case x.All:
		return OfAllKinds
	case x.Row:
		return OfRows
	case x.Unlisted:
		return OfUnlisted
	}
	return OfKind
}
