package diagnose

import (
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/weigh"
)

// Fragile is a prior with which, at half or twice what it is taken to be, the
// first answer is another.
type Fragile struct {
	Prior PriorOf
	Kind  fault.Kind // of OfKind
	By    float64    // half or twice
	Then  *fault.Candidate
}

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

// PriorOf is what a prior is of.
type PriorOf uint8

const (
	OfKind     PriorOf = iota // faults of one kind
	OfAllKinds                // faults of every kind
	OfRows                    // wrong rows
	OfUnlisted                // troubles on no list
)

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
