package search

import (
	"cmp"
	"context"
	"math"
	"slices"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/screen"
)

func (g *Search) Run(ctx context.Context, steps func(done, of int)) error {
	start := g.S.Before()
	if g.start != nil {
		start = *g.start
	}
	beam := g.roots(start)
	if len(beam) == 0 {
		return cmp.Or(ctx.Err(), g.S.Failed, ErrNoFit)
	}
	sortFits(beam)
	g.Sound = beam[0]
	g.All = append(g.All, beam...)
	g.All = append(g.All, g.tryAll(slices.DeleteFunc(g.found, func(x screen.Idea) bool { return g.Seen[x.Key] }))...)
	if g.worth != nil && g.S.Thinned() { // what is compared with another world must not stop short
		g.polishLeaders(carryWindow, polishedOfWorld)
	}
	if g.worth != nil && !g.worth(g) {
		g.dropped = true
		sortFits(g.All)
		return nil
	}
	for _, f := range beam {
		f.Grown = true
	}
	return g.widen(ctx, beam, steps)
}

// Again searches on from all that a scouting search found, as one that is none.
func (g *Search) Again(ctx context.Context, steps func(done, of int)) error {
	g.Scouting, g.scouted, g.Rest = false, true, nil
	g.allow(g.most(predictionsMost))
	for _, f := range g.All {
		f.Grown = false
	}
	return g.widen(ctx, g.beam(), steps)
}

// widen grows from the beam for as long as that finds something.
func (g *Search) widen(ctx context.Context, beam []*fit.Fit, steps func(done, of int)) error {
	if err := g.grow(ctx, beam, maxParts, steps); err != nil {
		return err
	}
	if g.Joint != nil {
		g.Together()
		if err := g.grow(ctx, g.beam(), jointRounds, nil); err != nil {
			return err
		}
		g.Together()
	}
	sortFits(g.All)
	return nil
}

// grow adds to the beam, and to what is best then, so many levels on.
func (g *Search) grow(ctx context.Context, beam []*fit.Fit, levels int, steps func(done, of int)) error {
	for level := range levels {
		if err := ctx.Err(); err != nil {
			return err
		}
		if len(beam) == 0 {
			break
		}
		if steps != nil {
			steps(level, levels)
		}
		g.add(g.FitBest(g.ideas(beam)))
		g.add(g.tryAll(g.lessOne()))
		g.add(g.tryAll(g.forRows()))
		g.add(g.tryAll(g.also()))
		beam = g.beam()
	}
	return nil
}

// beam picks what to grow from next: the best that have not been grown from.
// One that lies far below the best can't have children that count, since each
// further fault costs its prior. Of those that differ by a neighbour only,
// which have like children, two will do.
func (g *Search) beam() []*fit.Fit {
	sortFits(g.All)
	var out []*fit.Fit
	like := map[string]int{}
	for _, f := range g.All {
		if f.Score() < g.All[0].Score()-BeamWindow || len(out) == g.width() {
			break
		}
		if g.S.Large() && f.IsLight() {
			continue
		}
		if g.Scouting && len(out) == beamScouting {
			break
		}
		k := g.Coarse(f.Hypothesis)
		if f.Grown {
			like[k]++
			continue
		}
		if like[k]++; like[k] <= 2 {
			f.Grown = true
			out = append(out, f)
		}
	}
	return out
}

// also lists what else the rules of the search would try in place of the best.
func (g *Search) also() []screen.Idea {
	if g.Also == nil {
		return nil
	}
	sortFits(g.All)
	var out []screen.Idea
	for _, f := range g.All[:min(BeamWidth, len(g.All))] {
		for _, x := range g.Also(f) {
			if x.Key = screen.KeyOf(x.Hypothesis, g.Vid, g.Wid); !g.Seen[x.Key] {
				g.Seen[x.Key] = true
				out = append(out, x)
			}
		}
	}
	return out
}

// roots are the fits that the search grows from: the sound system, and, if
// rows are so far out that they would bend any fit, the sound system without them.
func (g *Search) roots(start fit.Point) []*fit.Fit {
	var out []*fit.Fit
	h, prior := g.Gross(start)
	for _, x := range []screen.Idea{{Hypothesis: h, Prior: prior}, {}} {
		if len(out) > 0 && len(h.Rows) == 0 {
			break
		}
		x.Key = screen.KeyOf(x.Hypothesis, g.Vid, g.Wid)
		g.Seen[x.Key] = true
		if f := g.S.Fit(x.Hypothesis, start); f.Ok() {
			for n := 0; g.S.Large() && n < soundPolished; n++ { // all else is held against it
				if g.S.Polished(f) < fit.StuckBy/4 && f.Settled() {
					break
				}
			}
			f.Prior, f.Key = x.Prior, x.Key
			out = append(out, f)
		}
	}
	return out
}

// Gross finds rows that are out by a unit, a sign or a decimal place, one
// after the other, against what the system should show before anything was read.
func (g *Search) Gross(start fit.Point) (fit.Hypothesis, float64) {
	var h fit.Hypothesis
	prior := 0.0
	for range 1 + len(g.S.Observation)/4 {
		f := g.S.Linearised(h, start)
		if !f.Ok() {
			break
		}
		best, gain := (*fit.Wrong)(nil), 10.0
		for _, x := range screen.Rows(g.S, f, g.rows, math.Inf(-1)) {
			w := x.Rows[len(x.Rows)-1]
			if w.Drop || w.Cfg >= 0 || !w.Coarse || len(x.Rows) == len(h.Rows) {
				continue
			}
			if v := x.Score - f.Score(); v > gain {
				best, gain = w, v
			}
		}
		if best == nil {
			break
		}
		// What it should have been is left open until the faults are known.
		for _, w := range g.rows {
			if w.Observation == best.Observation && w.Drop {
				best = w
			}
		}
		h.Rows = append(h.Rows, best)
		prior += math.Log(best.Prior)
	}
	return h, prior
}
