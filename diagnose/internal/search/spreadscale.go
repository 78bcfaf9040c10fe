package search

import (
	"math"
	"slices"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
)

// widest are the factors under which what was found is most probable, the
// sound system and the leading explanations together, none below those given:
// a shop far off its page asks for faults only if its spread is held small.
func (g *Search) widest(from Scale) Scale {
	if g.S.Large() {
		return g.widestLarge(from)
	}
	look := g.looks(scaleLooks)
	var list []Scale
	for _, k := range Scales() {
		if k.Spread >= from.Spread && k.Fresh >= from.Fresh {
			list = append(list, k)
		}
	}
	list = g.likely(list, look[:min(len(look), scaleFew)])
	best, top := from, math.Inf(-1)
	for i, v := range g.under(list, look) {
		if v > top {
			best, top = list[i], v
		}
	}
	return best
}

// widestLarge is widest for a large survey: the fresh errors first, then the spread.
func (g *Search) widestLarge(from Scale) Scale {
	look := []*fit.Fit{g.Sound}
	sortFits(g.All)
	if g.All[0] != g.Sound {
		look = append(look, g.All[0])
	}
	pick := func(now Scale, which func(Scale) bool) Scale {
		list := slices.DeleteFunc(Scales(), func(k Scale) bool {
			return !which(k) || k.Spread < from.Spread || k.Fresh < from.Fresh
		})
		best, top := now, math.Inf(-1)
		for i, v := range g.under(list, look) {
			if v > top {
				best, top = list[i], v
			}
		}
		return best
	}
	now := pick(from, func(k Scale) bool { return k.Spread == from.Spread })
	return pick(now, func(k Scale) bool { return k.Fresh == now.Fresh })
}

// scaleOfSound is the scale that the sound system asks for, so that a large survey
// need not be searched first under factors that don't hold.
func (g *Search) scaleOfSound(from Scale) Scale {
	g.Scaled(from)
	start := g.S.Before()
	if g.start != nil {
		start = *g.start
	}
	f := g.S.Fit(fit.Hypothesis{}, start)
	if !f.Ok() {
		return from
	}
	at := f.At.Clone()
	g.Sound, g.All, g.start = f, []*fit.Fit{f}, &at
	k := g.widestLarge(from)
	g.Sound, g.All = nil, nil
	return k
}

// looks are the sound system and the leading explanations, so many together.
func (g *Search) looks(most int) []*fit.Fit {
	look := []*fit.Fit{g.Sound}
	for _, f := range g.All {
		if f != g.Sound && len(look) < most {
			look = append(look, f)
		}
	}
	return look
}

// under is the log of what some explanations together weigh under each scale,
// with the scale's own prior.
func (g *Search) under(list []Scale, look []*fit.Fit) []float64 {
	out := make([]float64, len(list))
	g.Workers()
	numeric.ForEach(len(list), func(i int) {
		var each []float64
		for _, f := range look {
			if v, ok := g.Rescaled(i%numeric.Workers, f, list[i]); ok {
				each = append(each, v+f.Prior)
			}
		}
		out[i] = numeric.LogSumExp(each) + list[i].Prior
	})
	return out
}

// likely leaves out the scales under which a few explanations are far less
// probable than under the best: they weigh nothing.
func (g *Search) likely(list []Scale, few []*fit.Fit) []Scale {
	v := g.under(list, few)
	top := slices.Max(v)
	var out []Scale
	for i, k := range list {
		if v[i] >= top-scaleWindow {
			out = append(out, k)
		}
	}
	if len(out) == 0 {
		return list
	}
	return out
}

const (
	scaleLooks  = 12  // explanations that are looked at under other spreads
	scaleFew    = 5   // of them that say which spreads to look at
	scaleWindow = 7.0 // nats below the best that a spread may lie
)

// Rescaled is the evidence of a fit under other spreads, as a worker finds it.
func (g *Search) Rescaled(w int, f *fit.Fit, k Scale) (float64, bool) {
	if f.Both != nil {
		v, ok := g.Both[w].P.Rescaled(f.Both, k.Spread, k.Fresh)
		return v - g.Joint.Mean, ok
	}
	kappa := k.Spread
	if g.Joint != nil {
		kappa /= g.scale.Spread
	}
	v, ok := g.Workers()[w].Rescaled(f, kappa, k.Fresh)
	if g.Joint != nil {
		v += g.Joint.Of(k) - g.Joint.Mean + g.Off
	}
	return v, ok
}

// Average gives the leading explanations their evidence over all spreads, each
// with its weight: which spread holds is not known, and one that suits the best
// explanation may be too narrow for the others.
func (g *Search) Average() {
	sortFits(g.All)
	if g.S.Large() {
		return // so many readings leave no doubt of it
	}
	least := g.Best() - averageWindow
	var weights []float64
	for _, k := range Scales() {
		weights = append(weights, k.Prior)
	}
	norm := numeric.LogSumExp(weights)
	list := g.likely(Scales(), g.looks(scaleFew))
	n := 0 // of g.all, best first, those that lie near enough
	for n < len(g.All) && g.All[n].Score() >= least {
		n++
	}
	g.Workers()
	numeric.ForEach(n, func(i int) {
		f := g.All[i]
		var each []float64
		for _, k := range list {
			if v, ok := g.Rescaled(i%numeric.Workers, f, k); ok {
				each = append(each, v+k.Prior)
			}
		}
		if v := numeric.LogSumExp(each) - norm; !math.IsInf(v, 0) {
			f.Evidence = v
		}
	})
	sortFits(g.All)
}

// averageWindow is how far below the best, in nats, an explanation may lie to
// be averaged; what lies below it keeps the evidence under one spread.
const averageWindow = 8.0
