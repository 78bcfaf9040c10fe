package diagnose

import (
	"context"
	"math"
)

// The spread of a system about its page is itself learned: a shop built with
// care lies near it, another does not; and so is what is fresh in each reading:
// one hand is steady, another is not. These are the factors that are tried on
// all as-built spreads and on all fresh errors, with the log of what each is
// worth before anything was read. Common practice, no source.
var (
	spreadFactors = []factor{{1, 0}, {1.5, -0.7}, {2.2, -1.6}, {3.2, -2.8}, {0.7, -0.7}}
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
func (s *study) searchAll(ctx context.Context, ss []*site, steps func(done, of int)) (*search, error) {
	at := scale{1, 1, 0}
	for {
		s.kappa, s.rough = at.spread, at.fresh
		g := newSearch(s, ss, s.wrongRows())
		if err := g.run(ctx, steps); err != nil {
			return nil, err
		}
		k := g.widest(at)
		if k == at {
			g.average()
			return g, nil
		}
		at = k
	}
}

// widest are the factors under which what was found is most probable, the
// sound system and the leading explanations together, none below those given:
// a shop far off its page asks for faults only if its spread is held small.
func (g *search) widest(from scale) scale {
	s := g.s
	defer func(k, r float64) { s.kappa, s.rough = k, r }(s.kappa, s.rough)
	look := []*fitted{g.sound}
	for _, f := range g.all {
		if f != g.sound && len(look) < scaleLooks {
			look = append(look, f)
		}
	}
	best, top := from, math.Inf(-1)
	for _, k := range scales() {
		if k.spread < from.spread || k.fresh < from.fresh {
			continue
		}
		s.kappa, s.rough = k.spread, k.fresh
		var list []misgiven
		for _, f := range look {
			if v, ok := s.rescaled(f); ok {
				list = append(list, misgiven{score: v + f.prior})
			}
		}
		if v := total(list) + k.prior; v > top {
			best, top = k, v
		}
	}
	return best
}

// scaleLooks is how many explanations are looked at under other spreads.
const scaleLooks = 12

// rescaled is the evidence of a fit under the spreads that hold now.
func (s *study) rescaled(f *fitted) (float64, bool) {
	x := *f
	d := *f.fit
	d.chol = cholesky{} // not the fit's own storage
	d.r = make([]float64, len(f.fit.r))
	if !s.factor(&x, &d) {
		return 0, false
	}
	_, ok := s.linear(&x, &d)
	return x.evidence, ok
}

// average gives the leading explanations their evidence over all spreads, each
// with its weight: which spread holds is not known, and one that suits the best
// explanation may be too narrow for the others.
func (g *search) average() {
	s := g.s
	defer func(k, r float64) { s.kappa, s.rough = k, r }(s.kappa, s.rough)
	least := g.best() - averageWindow
	var weights []misgiven
	for _, k := range scales() {
		weights = append(weights, misgiven{score: k.prior})
	}
	norm := total(weights)
	for _, f := range g.all {
		if f.score() < least {
			continue
		}
		var list []misgiven
		for _, k := range scales() {
			s.kappa, s.rough = k.spread, k.fresh
			if v, ok := s.rescaled(f); ok {
				list = append(list, misgiven{score: v + k.prior})
			}
		}
		if v := total(list) - norm; !math.IsInf(v, 0) {
			f.evidence = v
		}
	}
	sortFits(g.all)
}

// averageWindow is how far below the best, in nats, an explanation may lie to
// be averaged; what lies below it keeps the evidence under one spread.
const averageWindow = 8.0
