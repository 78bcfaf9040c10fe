package search

import (
	"math"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/screen"
)

// Exchange puts in place of each fault of the best sets those that lie next to
// it, so that what can't be told apart is all there. A fault is put in place of
// another in one set at a time: where that was hopeless it is elsewhere too.
func (g *Search) Exchange() {
	defer func() { sortFits(g.All) }()
	poor, beside := map[[2]int]bool{}, 1
	if slices.ContainsFunc(g.Sites, func(s *fault.Site) bool { return s.Kind == fault.Altered }) {
		beside = 2 // or what may have changed crowds out the neighbours of several faults
	}
	for range g.rounds() {
		sortFits(g.All)
		best := g.All[0].Score()
		var ideas []screen.Idea
		for _, f := range g.All {
			if f.Score() < best-ExchangeWindow || len(ideas) > 4*beside*g.fits() {
				break
			}
			ideas = append(ideas, g.Exchanges(f, poor)...)
		}
		var fit []screen.Idea
		now := map[[2]int]bool{}
		for _, x := range screen.BestFirst(ideas) {
			if !g.Seen[x.Key] && !now[x.Swap] && x.Score >= best-ExchangeWindow && len(fit) < beside*g.swaps() {
				g.Seen[x.Key], now[x.Swap] = true, true
				fit = append(fit, x)
			}
		}
		if len(fit) == 0 {
			return
		}
		g.add(g.tryAll(fit))
		for _, x := range fit {
			poor[x.Swap] = true
		}
		for _, f := range g.All {
			delete(poor, f.Swap)
		}
	}
}

// ExchangeWindow is how far below the best a set may lie, in nats, to be worth an exchange.
const ExchangeWindow = 3.5

// Exchanges lists f with one fault replaced by a neighbour, at its score apart from the priors.
func (g *Search) Exchanges(f *fit.Fit, poor map[[2]int]bool) []screen.Idea {
	var out []screen.Idea
	used := map[int]bool{}
	for _, v := range f.Faults {
		used[v.Site] = true
	}
	for k, v := range f.Faults {
		a := g.Sites[v.Site]
		if a.Kind == fault.FanWeak || a.Kind == fault.FilterLoaded {
			continue
		}
		for si, b := range g.Sites {
			if used[si] && si != v.Site || !fault.Exchangeable(g.S.M.Sys, a, b) {
				continue
			}
			for _, w := range b.Variants {
				swap := [2]int{g.Vid[v], g.Vid[w]}
				if w == v || poor[swap] || w.Kind == fault.Altered && w.Usual().Mean < 0 {
					continue
				}
				faults := append([]*fault.Variant(nil), f.Faults...)
				faults[k] = w
				prior := f.Prior - screen.LogOdds(a.Prior) - math.Log(v.Weight) + screen.LogOdds(b.Prior) + math.Log(w.Weight)
				x := screen.Idea{Hypothesis: fit.Hypothesis{Faults: faults, Rows: f.Rows}, Prior: prior, Score: f.Evidence + prior, From: f, Swap: swap}
				x.From = &fit.Fit{At: f.At.Clone()}
				x.From.At.Z[k] = w.Usual().Mean
				if a.Kind == b.Kind {
					x.From.At.Z[k] = f.At.Z[k]
				}
				x.Key = screen.KeyOf(x.Hypothesis, g.Vid, g.Wid)
				if !g.Seen[x.Key] {
					out = append(out, x)
				}
			}
		}
	}
	return out
}
