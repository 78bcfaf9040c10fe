package doubt

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/search"
)

const (
	mistakesMost   = 4    // mistakes that are searched
	mistakesByPage = 2    // of them those that gain most at the page, whatever else is wrong
	mistakeWindow  = 5.0  // nats below the best that a mistake may Promise and still be searched
	kindWindow     = 2.0  // nats below the best that the first of a kind may promise and be searched beside them
	mistakeSlack   = 0.15 // share of what it gains that the screen may be off by
	pageGainMost   = 6.0  // nats that a mistake must gain at the page, its prior counted, to be searched for that
)

func logOf(x float64) float64 { return math.Log(x) }

// rate works out what a mistake promises at each base.
func (r *Mistake) rate(bases []*base) { r.rateBy(bases, r.effect) }

// rateBy does so with what it does at each.
func (r *Mistake) rateBy(bases []*base, effect func(b *base) []float64) {
	r.Promise, r.PageGain, r.Times = math.Inf(-1), math.Inf(-1), 1
	if r.preset != 0 {
		r.Promise = r.preset
	}
	for _, b := range bases {
		e := effect(b)
		if e == nil {
			continue
		}
		gain, times, sd := b.gain(e, r.Spread)
		if math.IsNaN(gain) {
			continue
		}
		if b.page {
			r.PageGain = gain + r.Log + math.Log(r.Prior)
		}
		if v := b.score() + gain + mistakeSlack*max(gain, 0) + r.Log + math.Log(r.Prior); v > r.Promise {
			r.Promise, r.Times, r.Sd = v, times, sd
		}
	}
}

// gain is what adding e to the misfit of a base gains, in nats: once, or any
// number of times of such a spread, with the likeliest and its spread then.
func (b *base) gain(e []float64, spread float64) (gain, times, sd float64) {
	m := len(e)
	v, w := mat.NewVecDense(m, e), mat.NewVecDense(m, nil)
	if !numeric.Solved(b.f.Fit.Chol.SolveVecTo(w, v)) {
		return math.NaN(), 0, 0
	}
	g, size := -mat.Dot(v, b.f.Fit.Alpha), mat.Dot(v, w)
	if spread == 0 {
		return g - size/2, 1, 0
	}
	p := size + 1/(spread*spread)
	return g*g/p/2 - math.Log(p*spread*spread)/2, g / p, 1 / math.Sqrt(p)
}

// Chosen are the mistakes worth a search, best first.
func Chosen(g *search.Search, all []*Mistake, k *search.Learned) []*Mistake {
	if len(all) == 0 {
		return nil
	}
	near := bases(g)
	best := g.Best() - g.Off
	earlier := earlierBases(k)
	var here, before []*Mistake
	for _, r := range all {
		if r.page && len(earlier) > 0 {
			before = append(before, r)
		} else {
			here = append(here, r)
		}
	}
	rateAll(here, near)
	rateAll(before, earlier)
	for _, r := range before {
		r.Promise += best - earlier[0].score()
	}
	list := slices.Clone(all)
	slices.SortStableFunc(list, func(a, b *Mistake) int { return cmp.Compare(b.Promise, a.Promise) })
	var out []*Mistake
	for _, r := range list {
		if r.Sure || len(out) < mistakesMost && r.Promise > best-mistakeWindow {
			out = append(out, r)
		}
	}
	// Mistakes of one kind often promise alike, and must not crowd the others out.
	for _, r := range list {
		if r.Promise > best-kindWindow && !slices.ContainsFunc(out, r.sameKind) {
			out = append(out, r)
		}
	}
	slices.SortStableFunc(list, func(a, b *Mistake) int { return cmp.Compare(b.PageGain, a.PageGain) })
	for _, r := range list[:min(len(list), mistakesByPage)] {
		if r.PageGain > pageGainMost && !slices.Contains(out, r) {
			r.ByPage = true
			out = append(out, r)
		}
	}
	return out
}

// sameKind says whether two mistakes are of one kind.
func (r *Mistake) sameKind(o *Mistake) bool { return r.kind() == o.kind() }

func (r *Mistake) kind() string {
	e := &r.Said[0]
	out := e.Kind.String()
	switch {
	case e.Behaves != nil:
		out += " " + e.Behaves.Quantity
	case e.Offset != nil:
		out += " offset"
	}
	return out
}

// earlierBases are the page as the last baseline sees it; nil without one.
func earlierBases(k *search.Learned) []*base {
	if k.Last == nil || len(k.Last.S.Observation) == 0 {
		return nil
	}
	b := baseOf(k.Last.S, nil, k.Last.S.Before(), 0)
	if b == nil {
		return nil
	}
	b.page = true
	return []*base{b}
}
