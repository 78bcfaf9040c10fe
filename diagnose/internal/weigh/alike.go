package weigh

import (
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/screen"
)

// Group is a fault with those that these readings can't distinguish from it.
type Group struct {
	Head     int   // site
	Members  []int // head first
	Together float64
}

const (
	alikeEvidence = 3.0  // nats: the readings prefer one to the other by less than 20 to 1
	alikeShare    = 0.02 // of the group's probability: less is not worth a look
	alikeMost     = 6
)

// Groups partitions the sites that matter, likeliest first.
func (p *Posterior) Groups() []Group {
	var out []Group
	taken := make([]bool, len(p.Site))
	for _, a := range p.Order() {
		if p.Site[a] < 0.001 {
			break
		}
		if taken[a] {
			continue
		}
		g := p.grow(a, taken)
		for _, b := range g.Members {
			taken[b] = true
		}
		out = append(out, g)
	}
	return out
}

// grow gathers around a the sites that could stand in its place: with the
// other faults of the same set unchanged the readings are about as probable.
// Members must adjoin, in the tree or on the same restriction.
func (p *Posterior) grow(a int, taken []bool) Group {
	g := Group{Head: a, Members: []int{a}}
	swap := p.swaps(a)
	for len(g.Members) < alikeMost {
		next := -1
		for _, b := range p.Order() {
			if taken[b] || numeric.Contains(g.Members, b) || !swap[b] || !p.adjoinsAny(b, g.Members) {
				continue
			}
			next = b
			break
		}
		if next < 0 || p.Site[next] < alikeShare*p.Site[a] || p.Site[next] < 0.01 {
			break
		}
		g.Members = append(g.Members, next)
	}
	g.Together = p.any(g.Members)
	return g
}

// any is the probability that at least one of the sites is at fault.
func (p *Posterior) any(sites []int) float64 {
	if p.Lead == nil {
		return p.anyAlone(sites)
	}
	return numeric.ClampProbability(p.Lead.over(func(w *World) float64 { return w.p.anyAlone(w.places(sites)) }, p.Others))
}

// anyAlone is the same in its own world.
func (p *Posterior) anyAlone(sites []int) float64 {
	var w float64
	for i, f := range p.Sets {
		if HoldsAny(f.Hypothesis, sites) {
			w += p.Weight[i]
		}
	}
	for i, x := range p.G.Rest {
		if p.Rest[i] > 0 && HoldsAny(x.Hypothesis, sites) {
			w += p.Rest[i]
		}
	}
	return numeric.ClampProbability(w) // a sum of shares may come out a last bit above 1
}

func HoldsAny(h fit.Hypothesis, sites []int) bool {
	for _, v := range h.Faults {
		if numeric.Contains(sites, v.Site) {
			return true
		}
	}
	return false
}

// swaps finds the sites b for which some set with a becomes a set with b of
// about the same evidence when b takes a's place. a must be needed there: where
// the rest of the set explains the readings without it, anything could stand
// in its place.
func (p *Posterior) swaps(a int) []bool {
	out := make([]bool, len(p.Site))
	for i, f := range p.Sets {
		if p.Weight[i] < 1e-4 || len(f.Faults) == 0 || !Holds(f.Hypothesis, a) || !p.needs(f, a) {
			continue
		}
		for j, h := range p.Sets {
			if i == j || len(h.Faults) != len(f.Faults) || len(h.Rows) != len(f.Rows) || Holds(h.Hypothesis, a) {
				continue
			}
			b, ok := exchanged(f.Hypothesis, h.Hypothesis, a)
			if ok && h.Evidence > f.Evidence-alikeEvidence {
				out[b] = true
			}
		}
	}
	return out
}

// needs: whether a set explains the readings clearly better than the same set
// without a site, if that was fitted too.
func (p *Posterior) needs(f *fit.Fit, site int) bool {
	var rest fit.Hypothesis
	rest.Rows = f.Rows
	for _, v := range f.Faults {
		if v.Site != site {
			rest.Faults = append(rest.Faults, v)
		}
	}
	key := screen.KeyOf(rest, p.G.Vid, p.G.Wid)
	for _, h := range p.Sets {
		if h.Key == key {
			return f.Evidence > h.Evidence+neededEvidence
		}
	}
	return true
}

// neededEvidence is what a fault must add, in nats, to be needed in a set.
const neededEvidence = 1.0

func Holds(h fit.Hypothesis, site int) bool {
	for _, v := range h.Faults {
		if v.Site == site {
			return true
		}
	}
	return false
}

// exchanged reports the one site in h that stands where f has a.
func exchanged(f, h fit.Hypothesis, a int) (int, bool) {
	b := -1
	for _, v := range h.Faults {
		if !Holds(f, v.Site) {
			if b >= 0 {
				return 0, false
			}
			b = v.Site
		}
	}
	if b < 0 {
		return 0, false
	}
	for _, v := range f.Faults {
		if v.Site != a && !Holds(h, v.Site) {
			return 0, false
		}
	}
	return b, true
}

// adjoinsAny: on the same duct or on ducts that meet; things of the collector
// adjoin each other and the ducts that flow into it.
func (p *Posterior) adjoinsAny(b int, members []int) bool {
	for _, a := range members {
		if fault.Adjoin(p.G.S.M.Sys, p.G.Sites[a].Duct, p.G.Sites[b].Duct) {
			return true
		}
	}
	return false
}
