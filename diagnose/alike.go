package diagnose

import (
	"math"

	"lostair/diagnose/duct"
)

// group is a fault with those that these readings can't tell from it.
type group struct {
	head     int   // site
	members  []int // head first
	together float64
}

const (
	alikeEvidence = 3.0  // nats: the readings prefer one to the other by less than 20 to 1
	alikeShare    = 0.02 // of the group's probability: less is not worth a look
	alikeMost     = 6
)

// groups partitions the sites that matter, likeliest first.
func (p *posterior) groups() []group {
	var out []group
	taken := make([]bool, len(p.site))
	for _, a := range p.order() {
		if p.site[a] < 0.001 {
			break
		}
		if taken[a] {
			continue
		}
		g := p.grow(a, taken)
		for _, b := range g.members {
			taken[b] = true
		}
		out = append(out, g)
	}
	return out
}

// grow gathers around a the sites that could stand in its place: with the
// other faults of the same set unchanged the readings are about as probable.
// Members must adjoin, in the tree or on the same restriction.
func (p *posterior) grow(a int, taken []bool) group {
	g := group{head: a, members: []int{a}}
	swap := p.swaps(a)
	for len(g.members) < alikeMost {
		next := -1
		for _, b := range p.order() {
			if taken[b] || contains(g.members, b) || !swap[b] || !p.adjoinsAny(b, g.members) {
				continue
			}
			next = b
			break
		}
		if next < 0 || p.site[next] < alikeShare*p.site[a] || p.site[next] < 0.01 {
			break
		}
		g.members = append(g.members, next)
	}
	g.together = p.any(g.members)
	return g
}

func contains(s []int, x int) bool {
	for _, y := range s {
		if x == y {
			return true
		}
	}
	return false
}

// any is the probability that at least one of the sites is at fault.
func (p *posterior) any(sites []int) float64 {
	var w float64
	for i, f := range p.sets {
		if holdsAny(f.hypothesis, sites) {
			w += p.weight[i]
		}
	}
	for i, x := range p.g.rest {
		if p.rest[i] > 0 && holdsAny(x.hypothesis, sites) {
			w += p.rest[i]
		}
	}
	return clampP(w) // a sum of shares may come out a last bit above 1
}

func holdsAny(h hypothesis, sites []int) bool {
	for _, v := range h.faults {
		if contains(sites, v.site) {
			return true
		}
	}
	return false
}

// swaps finds the sites b for which some set with a becomes a set with b of
// about the same evidence when b takes a's place. a must be needed there: where
// the rest of the set explains the readings without it, anything could stand
// in its place.
func (p *posterior) swaps(a int) []bool {
	out := make([]bool, len(p.site))
	for i, f := range p.sets {
		if p.weight[i] < 1e-4 || len(f.faults) == 0 || !holds(f.hypothesis, a) || !p.needs(f, a) {
			continue
		}
		for j, h := range p.sets {
			if i == j || len(h.faults) != len(f.faults) || len(h.rows) != len(f.rows) || holds(h.hypothesis, a) {
				continue
			}
			b, ok := exchanged(f.hypothesis, h.hypothesis, a)
			if ok && h.evidence > f.evidence-alikeEvidence {
				out[b] = true
			}
		}
	}
	return out
}

// needs: whether a set explains the readings clearly better than the same set
// without a site, if that was fitted too.
func (p *posterior) needs(f *fitted, site int) bool {
	var rest hypothesis
	rest.rows = f.rows
	for _, v := range f.faults {
		if v.site != site {
			rest.faults = append(rest.faults, v)
		}
	}
	key := keyOf(rest, p.g.vid, p.g.wid)
	for _, h := range p.sets {
		if h.key == key {
			return f.evidence > h.evidence+neededEvidence
		}
	}
	return true
}

// neededEvidence is what a fault must add, in nats, to be needed in a set.
const neededEvidence = 1.0

func holds(h hypothesis, site int) bool {
	for _, v := range h.faults {
		if v.site == site {
			return true
		}
	}
	return false
}

// exchanged reports the one site in h that stands where f has a.
func exchanged(f, h hypothesis, a int) (int, bool) {
	b := -1
	for _, v := range h.faults {
		if !holds(f, v.site) {
			if b >= 0 {
				return 0, false
			}
			b = v.site
		}
	}
	if b < 0 {
		return 0, false
	}
	for _, v := range f.faults {
		if v.site != a && !holds(h, v.site) {
			return 0, false
		}
	}
	return b, true
}

// adjoinsAny: on the same duct or on ducts that meet; things of the collector
// adjoin each other and the ducts that flow into it.
func (p *posterior) adjoinsAny(b int, members []int) bool {
	for _, a := range members {
		if adjoin(p.g.s.m.Sys, p.g.sites[a].duct, p.g.sites[b].duct) {
			return true
		}
	}
	return false
}

func adjoin(s *duct.System, a, b int) bool {
	if a == b {
		return true
	}
	if a < 0 {
		a, b = b, a
	}
	if b < 0 {
		return s.Ducts[a].Into == duct.IntoCollector
	}
	return s.Ducts[a].Into == b || s.Ducts[b].Into == a || s.Ducts[a].Into == s.Ducts[b].Into
}

func clampP(p float64) float64 { return math.Min(math.Max(p, 0), 1) }
