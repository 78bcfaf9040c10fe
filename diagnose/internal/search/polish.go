package search

import (
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
)

// carryWindow is how far below the best, in nats, an explanation may lie to be
// carried over to the readings kept, and carryMost how many are.
const (
	carryWindow = 9.0
	carryMost   = 24

	soundPolished   = 3   // times that the sound system is polished at most
	polishedWindow  = 6.0 // nats below the best within which an explanation is polished before it is carried over
	polishedMost    = 4   // and how many are
	polishedOfWorld = 2   // explanations that a mistake's world is judged by
)

// polish fits the leading explanations of a thinned survey exactly, and the
// sound system. Along the search derivatives are taken over where a reading has
// changed little and steps are few, which is fast, but such fits stop up to
// fifteen nats short of what they would reach, some of them more than others.
func (g *Search) polish() {
	if !g.S.Thinned() {
		return
	}
	g.polishLeaders(fit.PolishWindow, fit.PolishMost)
}

// polishLeaders does so with the sound system and so many of those near the best.
func (g *Search) polishLeaders(window float64, most int) {
	sortFits(g.All)
	list := []*fit.Fit{g.Sound}
	for _, f := range g.All {
		if f.Score() < g.Best()-window || len(list) > most {
			break
		}
		if f != g.Sound {
			list = append(list, f)
		}
	}
	gain := make([]float64, len(list))
	pool := g.Workers()
	numeric.ForEach(len(list), func(i int) {
		gain[i] = pool[i%numeric.Workers].Polished(list[i])
	})
	for i, f := range list {
		for k := range g.Rest {
			if g.Rest[k].From == f { // what was to be added to it starts from there
				g.Rest[k].Score += gain[i]
			}
		}
	}
	sortFits(g.All)
}
