package search

import (
	"cmp"
	"context"
	"math"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
)

// The spread of a system about its page is itself learned: a shop built with
// care lies near it, another does not; and so is what is fresh in each reading:
// one hand is steady, another is not. These are the factors that are tried on
// all as-built spreads and on all fresh errors, with the log of what each is
// worth before anything was read; of spreads, as of a lognormal that holds two
// thirds within a factor of 1.8. Common practice, no source.
var (
	SpreadFactors = []factor{{1, 0}, {1.5, -0.22}, {2.2, -0.86}, {3.2, -1.87}, {0.7, -0.18}}
	FreshFactors  = []factor{{1, 0}, {1.6, -1.5}, {2.5, -3}}
)

type factor struct{ By, Prior float64 }

// Scale is a factor on the spreads and one on the fresh errors.
type Scale struct{ Spread, Fresh, Prior float64 }

func Scales() []Scale {
	var out []Scale
	for _, f := range FreshFactors {
		for _, k := range SpreadFactors {
			out = append(out, Scale{k.By, f.By, k.Prior + f.Prior})
		}
	}
	return out
}

// SearchAll searches, looks whether the best explanation asks for wider spreads
// or errors than were assumed, and if so searches again with those.
// With a joint, what counts is weighed by the survey and a baseline at once.
func SearchAll(s *fit.Study, ctx context.Context, ss []*fault.Site, j *Joint, steps func(done, of int)) (*Search, error) {
	return SearchFrom(ctx, s, ss, j, From{}, steps)
}

// From is where a search starts and where it may end. Each may be nil.
type From struct {
	Found  func(g *Search) []Idea // ideas to begin with
	Worth  func(g *Search) bool   // of one that has fitted those: whether to go on
	Enough func(g *Search) bool   // of a search that has looked at the likeliest only: more would be of no use
	Brief  bool                   // look at the likeliest with less work
	Begin  *Scale                 // the factors to begin with, wider ones may follow; nil: none
	Under  *Scale                 // the factors to search under, and no others; nil: those that it asks for
	Near   *fit.Point             // where the sound system of a large survey may lie
}

// SearchFrom does so. If ctx ends first, what was found by then comes with its
// error; nil if not even the sound system was fitted.
func SearchFrom(ctx context.Context, s *fit.Study, ss []*fault.Site, j *Joint, from From, steps func(done, of int)) (found *Search, _ error) {
	defer func() {
		if found != nil && s.Lost != nil {
			found.pool = nil // a plant's states are large, and what is asked of a search done seldom needs them
		}
	}()
	at, rows := Scale{1, 1, 0}, WrongRows(s)
	for _, w := range rows {
		w.Prior *= keptShare(s) // how many rows are wrong is counted over the whole survey
	}
	s.Stop = func() bool { return ctx.Err() != nil }
	g := NewSearch(s, ss, rows)
	g.Joint, g.Scouting = j, s.Lost == nil
	if from.Found != nil {
		g.found = from.Found(g)
	}
	g.worth, g.brief, g.start = from.Worth, from.Brief, from.Near
	exchanged := false
	switch {
	case from.Under != nil:
		at = *from.Under
	case from.Begin != nil:
		at = *from.Begin
	case s.Large():
		at = g.scaleOfSound(at)
	}
	var before *Search // under the factors last looked at
	err := g.runUnder(ctx, at, steps)
	for err == nil {
		if g.dropped {
			return g, nil
		}
		if err = ctx.Err(); err != nil {
			break
		}
		k := at
		if from.Under == nil {
			k = g.widest(at)
		}
		switch {
		case k != at:
			at, before, g, exchanged = k, g, g.anew(), false
			err = g.runUnder(ctx, at, steps)
		case g.Scouting && from.Enough != nil && from.Enough(g):
			if from.Under == nil {
				g.Average()
			}
			return g, nil
		case g.Scouting:
			err = g.Again(ctx, steps)
		case !exchanged:
			g.allowBeside()
			g.Exchange()
			g.polish()
			g.Together()
			exchanged = true
		default:
			if from.Under == nil {
				g.Average()
			}
			return g, nil
		}
	}
	if ctx.Err() != nil {
		return cmp.Or(g.ifAny(), before.ifAny()), ctx.Err()
	}
	return nil, err
}

// ifAny is a search that has fitted something; nil of one that has not.
func (g *Search) ifAny() *Search {
	if g == nil || g.Sound == nil || len(g.All) == 0 {
		return nil
	}
	sortFits(g.All)
	return g
}

// predictionsMost bounds what a search under some factors may take: so many
// times each worker may work the readings out before it begins no further fit.
// Where nothing fits, fits would creep on for as long as they may.
// What lies beside the faults found is looked at with an allowance of its own:
// if growing used up all of it, one of several places that can't be told apart
// would stand alone, and be called sure.
const (
	predictionsMost   = 650
	predictionsSpent  = 150  // the same where growing used up its own
	predictionsWorld  = 350  // of a search in another world, of which there are many; and for its neighbours
	predictionsScout  = 350  // of a search as long as it looks at the likeliest
	predictionsBrief  = 100  // of a brief search, as long as it looks at the likeliest
	predictionsBeside = 500  // to put neighbours in the place of faults
	predictionsLarge  = 1400 // of a large survey, for either: of its fits, which are few, each counts
)

// runUnder searches under given factors.
func (g *Search) runUnder(ctx context.Context, k Scale, steps func(done, of int)) error {
	most := g.most(predictionsMost)
	if g.Scouting { // of a large survey it never does
		if most = predictionsScout; g.brief {
			most = predictionsBrief
		}
	}
	g.S.Most = most * max(len(g.S.B.Configs), 1)
	g.Scaled(k)
	g.allow(most)
	return g.Run(ctx, steps)
}

// most is an allowance as the survey's size asks for it.
func (g *Search) most(predictions int) int {
	switch {
	case g.S.Large():
		return predictionsLarge
	case g.worth != nil:
		return min(predictions, predictionsWorld)
	}
	return predictions
}

// allowBeside lets each worker begin anew, with what it may take for the neighbours of
// faults. Where growing came to its bound nothing fits well, and little more is spent.
func (g *Search) allowBeside() {
	most := g.most(predictionsBeside)
	for _, t := range g.Workers() {
		if t.Spent() {
			most = min(most, predictionsSpent)
		}
	}
	for _, t := range g.Workers() {
		t.Rested()
	}
	for _, w := range g.Both {
		w.P.S[1].Rested()
	}
	g.allow(most)
}

// anew is a search from what this one found, to be run under other factors.
func (g *Search) anew() *Search {
	n := NewSearch(g.S, g.Sites, g.rows)
	n.Joint, n.found, n.pool, n.Both, n.start = g.Joint, g.Lead(), g.pool, g.Both, g.start
	return n
}

// Lead are the leading explanations, to be looked at again under other spreads:
// what several faults do is not always found by adding one after the other.
func (g *Search) Lead() []Idea {
	var out []Idea
	for _, f := range g.All[:min(len(g.All), FitsALevel)] {
		if f.Score() < g.Best()-LeadWindow {
			break
		}
		out = append(out, Idea{Hypothesis: f.Hypothesis, From: &fit.Fit{At: f.At}, Score: f.Score(), Prior: f.Prior, Key: f.Key})
	}
	return out
}

// LeadWindow is how far below the best, in nats, an explanation may lie to be
// looked at again.
const LeadWindow = 6.

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

// allow lets each worker work the readings out so many times in all.
func (g *Search) allow(predictions int) {
	most := predictions * max(len(g.S.B.Configs), 1)
	g.S.Most = most
	for _, t := range g.Workers() {
		t.Most = most
	}
	for _, w := range g.Both {
		w.P.S[1].Most = most
	}
}
