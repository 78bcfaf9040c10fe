package diagnose

import (
	"context"
	"math"
	"slices"
)

// The spread of a system about its page is itself learned: a shop built with
// care lies near it, another does not; and so is what is fresh in each reading:
// one hand is steady, another is not. These are the factors that are tried on
// all as-built spreads and on all fresh errors, with the log of what each is
// worth before anything was read; of spreads, as of a lognormal that holds two
// thirds within a factor of 1.8. Common practice, no source.
var (
	spreadFactors = []factor{{1, 0}, {1.5, -0.22}, {2.2, -0.86}, {3.2, -1.87}, {0.7, -0.18}}
	freshFactors  = []factor{{1, 0}, {1.6, -1.5}, {2.5, -3}}
)

type factor struct{ by, prior float64 }

// scale is a factor on the spreads and one on the fresh errors.
type scale struct{ spread, fresh, prior float64 }

func scales() []scale {
	var out []scale
	for _, f := range freshFactors {
		for _, k := range spreadFactors {
			out = append(out, scale{k.by, f.by, k.prior + f.prior})
		}
	}
	return out
}

// searchAll searches, looks whether the best explanation asks for wider spreads
// or errors than were assumed, and if so searches again with those.
// With a joint, what counts is weighed by the survey and a baseline at once.
func (s *study) searchAll(ctx context.Context, ss []*site, j *joint, steps func(done, of int)) (*search, error) {
	at, rows := scale{1, 1, 0}, s.wrongRows()
	for _, w := range rows {
		w.prior *= s.keptShare() // how many rows are wrong is counted over the whole survey
	}
	g := newSearch(s, ss, rows)
	g.joint, g.scouting = j, s.lost == nil
	exchanged := false
	err := g.runUnder(ctx, at, steps)
	for err == nil {
		k := g.widest(at)
		switch {
		case k != at:
			at, g, exchanged = k, g.anew(), false
			err = g.runUnder(ctx, at, steps)
		case g.scouting:
			err = g.again(ctx, steps)
		case !exchanged:
			g.exchange()
			g.polish()
			g.together()
			exchanged = true
		default:
			g.average()
			return g, nil
		}
	}
	return nil, err
}

// runUnder searches under given factors.
func (g *search) runUnder(ctx context.Context, k scale, steps func(done, of int)) error {
	g.scaled(k)
	return g.run(ctx, steps)
}

// anew is a search from what this one found, to be run under other factors.
func (g *search) anew() *search {
	n := newSearch(g.s, g.sites, g.rows)
	n.joint, n.found, n.pool, n.both = g.joint, g.lead(), g.pool, g.both
	return n
}

// lead are the leading explanations, to be looked at again under other spreads:
// what several faults do is not always found by adding one after the other.
func (g *search) lead() []idea {
	var out []idea
	for _, f := range g.all[:min(len(g.all), fitsALevel)] {
		if f.score() < g.best()-leadWindow {
			break
		}
		out = append(out, idea{hypothesis: f.hypothesis, from: &fitted{at: f.at}, score: f.score(), prior: f.prior, key: f.key})
	}
	return out
}

// leadWindow is how far below the best, in nats, an explanation may lie to be
// looked at again.
const leadWindow = 6.

// widest are the factors under which what was found is most probable, the
// sound system and the leading explanations together, none below those given:
// a shop far off its page asks for faults only if its spread is held small.
func (g *search) widest(from scale) scale {
	look := g.looks(scaleLooks)
	var list []scale
	for _, k := range scales() {
		if k.spread >= from.spread && k.fresh >= from.fresh {
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
func (g *search) looks(most int) []*fitted {
	look := []*fitted{g.sound}
	for _, f := range g.all {
		if f != g.sound && len(look) < most {
			look = append(look, f)
		}
	}
	return look
}

// under is the log of what some explanations together weigh under each scale,
// with the scale's own prior.
func (g *search) under(list []scale, look []*fitted) []float64 {
	out := make([]float64, len(list))
	g.workers()
	inPairs(len(list), func(i int) {
		var each []float64
		for _, f := range look {
			if v, ok := g.rescaled(i%workers, f, list[i]); ok {
				each = append(each, v+f.prior)
			}
		}
		out[i] = logSum(each) + list[i].prior
	})
	return out
}

// likely leaves out the scales under which a few explanations are far less
// probable than under the best: they weigh nothing.
func (g *search) likely(list []scale, few []*fitted) []scale {
	v := g.under(list, few)
	top := slices.Max(v)
	var out []scale
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

// rescaled is the evidence of a fit under other spreads, as a worker finds it.
func (g *search) rescaled(w int, f *fitted, k scale) (float64, bool) {
	if f.both != nil {
		v, ok := g.both[w].rescaled(f.both, k)
		return v - g.joint.mean, ok
	}
	kappa := k.spread
	if g.joint != nil {
		kappa /= g.scale.spread
	}
	v, ok := g.workers()[w].rescaled(f, kappa, k.fresh)
	if g.joint != nil {
		v += g.joint.of(k) - g.joint.mean + g.off
	}
	return v, ok
}

// rescaled is the evidence of a fit under other factors on spreads and fresh errors.
func (s *study) rescaled(f *fitted, kappa, rough float64) (float64, bool) {
	defer func(k, r float64) { s.kappa, s.rough = k, r }(s.kappa, s.rough)
	s.kappa, s.rough = kappa, rough
	x := *f
	d := *f.fit
	d.chol = s.spare // not the fit's own storage
	d.r = make([]float64, len(f.fit.r))
	ok := s.factor(&x, &d) && s.weigh(&x, &d)
	s.spare = d.chol
	return x.evidence - d.left, ok
}

// average gives the leading explanations their evidence over all spreads, each
// with its weight: which spread holds is not known, and one that suits the best
// explanation may be too narrow for the others.
func (g *search) average() {
	sortFits(g.all)
	least := g.best() - averageWindow
	var weights []float64
	for _, k := range scales() {
		weights = append(weights, k.prior)
	}
	norm := logSum(weights)
	list := g.likely(scales(), g.looks(scaleFew))
	n := 0 // of g.all, best first, those that lie near enough
	for n < len(g.all) && g.all[n].score() >= least {
		n++
	}
	g.workers()
	inPairs(n, func(i int) {
		f := g.all[i]
		var each []float64
		for _, k := range list {
			if v, ok := g.rescaled(i%workers, f, k); ok {
				each = append(each, v+k.prior)
			}
		}
		if v := logSum(each) - norm; !math.IsInf(v, 0) {
			f.evidence = v
		}
	})
	sortFits(g.all)
}

// averageWindow is how far below the best, in nats, an explanation may lie to
// be averaged; what lies below it keeps the evidence under one spread.
const averageWindow = 8.0
