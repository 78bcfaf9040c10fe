package weigh

import (
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
)

// Shift is what becomes of the first answer if a prior is other than it was
// taken to be.
type Shift struct {
	Prior Prior
	By    float64 // times as likely as taken
	Now   int     // first of the faults' groups, by its place in Groups; -1: none is clear
	Then  int
}

// Prior is one that may be other than taken: how common a kind of fault is, or
// all kinds together, wrong rows, or what is on no list.
type Prior struct {
	Kind               fault.Kind // if it is none of these
	All, Row, Unlisted bool
}

// Priors lists them all.
func Priors() []Prior {
	var out []Prior
	for _, k := range fault.SearchedKinds() {
		out = append(out, Prior{Kind: k})
	}
	return append(out, Prior{All: true}, Prior{Row: true}, Prior{Unlisted: true})
}

// halfAndDouble are the factors by which a prior is tried.
var halfAndDouble = [...]float64{0.5, 2}

// clearAt is the probability from which a group of faults is said to be there.
const clearAt = 0.5

// Shifts tries each prior at half and at twice its value, and says what the first
// answer becomes: the hypotheses keep their evidences and are weighed anew.
func (p *Posterior) Shifts(groups []Group) []Shift {
	now := p.firstOf(groups, Prior{All: true}, 1)
	var out []Shift
	for _, x := range Priors() {
		for _, by := range halfAndDouble {
			out = append(out, Shift{x, by, now, p.firstOf(groups, x, by)})
		}
	}
	return out
}

// firstOf is the group that is likeliest with a prior so many times as likely;
// -1 if none of them is clear.
func (p *Posterior) firstOf(groups []Group, x Prior, by float64) int {
	together := make([]float64, len(groups))
	var total float64
	weigh := func(h fit.Hypothesis, w float64) {
		if w == 0 {
			return
		}
		w *= x.times(h, by)
		total += w
		for i := range groups {
			if HoldsAny(h, groups[i].Members) {
				together[i] += w
			}
		}
	}
	for i, f := range p.Sets {
		weigh(f.Hypothesis, p.Weight[i])
	}
	for i := range p.G.Rest {
		weigh(p.G.Rest[i].Hypothesis, p.Rest[i])
	}
	total += p.Unlisted * x.ofUnlisted(by)
	first := -1
	for i, v := range together {
		if v >= clearAt*total && (first < 0 || v > together[first]) {
			first = i
		}
	}
	return first
}

// times is by how much a hypothesis is then likelier.
func (x Prior) times(h fit.Hypothesis, by float64) float64 {
	out := 1.0
	if x.Row {
		for range h.Rows {
			out *= by
		}
		return out
	}
	if x.Unlisted {
		return out
	}
	for _, v := range h.Faults {
		if x.All && v.Kind.Searched() || v.Kind == x.Kind && !x.All {
			out *= by
		}
	}
	return out
}

func (x Prior) ofUnlisted(by float64) float64 {
	if x.Unlisted {
		return by
	}
	return 1
}
