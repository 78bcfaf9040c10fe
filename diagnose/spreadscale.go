package diagnose

import (
	"context"
	"math"
)

// The spread of a system about its page is itself learned: a shop built with
// care lies near it, another does not. These are the factors that are tried
// on all as-built spreads, and the log of what each is worth before anything
// was read. Common practice, no source.
var (
	spreadFactors = []float64{1, 1.5, 2.2, 3.2}
	spreadPriors  = []float64{0, -0.7, -2, -3.5}
)

// searchAll searches, looks whether the best explanation asks for a wider
// spread than was assumed, and if so searches again with that.
func (s *study) searchAll(ctx context.Context, ss []*site, steps func(done, of int)) (*search, error) {
	at := 0
	for {
		s.kappa = spreadFactors[at]
		g := newSearch(s, ss, s.wrongRows())
		if err := g.run(ctx, steps); err != nil {
			return nil, err
		}
		k := s.widest(g.all[0], at)
		if k <= at {
			return g, nil
		}
		at = k
	}
}

// widest is the factor under which a fitted hypothesis is most probable, from
// the given one on.
func (s *study) widest(f *fitted, from int) int {
	defer func(k float64) { s.kappa = k }(s.kappa)
	best, top := from, math.Inf(-1)
	for k := from; k < len(spreadFactors); k++ {
		s.kappa = spreadFactors[k]
		x := *f
		d := *f.fit
		d.chol = cholesky{} // not the fit's own storage
		d.r = make([]float64, len(f.fit.r))
		if !s.factor(&x, &d) {
			continue
		}
		if _, ok := s.linear(&x, &d); !ok {
			continue
		}
		if v := x.evidence + spreadPriors[k]; v > top {
			best, top = k, v
		}
	}
	return best
}
