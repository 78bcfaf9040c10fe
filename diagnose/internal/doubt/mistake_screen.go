package doubt

import (
	"cmp"
	"math"
	"slices"

	"lostair/diagnose/internal/numeric"
)

// What most mistakes do to the readings takes a solution in each setting, at each
// base. It differs little from base to base, so all are rated by what they do at
// the likeliest, and only the best of them by what they do at each.
const (
	ratedMost  = 24 // of the most promising
	ratedPages = 8  // and of those that gain most at the page
)

// rateAll works out what mistakes promise.
func rateAll(all []*Mistake, near []*base) {
	if len(near) == 0 {
		return
	}
	lead := slices.MaxFunc(near, func(a, b *base) int { return cmp.Compare(a.score(), b.score()) })
	numeric.ForEach(len(all), func(i int) {
		r := all[i]
		if lead.s.Stopped() {
			return
		}
		if r.light {
			r.rate(near)
		} else if e := r.effect(lead); e != nil {
			r.rateBy(near, func(*base) []float64 { return e })
		} else {
			r.rate(near)
		}
	})
	if len(near) == 1 {
		return
	}
	again := slices.Clone(first(all, ratedMost, func(r *Mistake) float64 { return r.Promise }))
	for _, r := range first(all, ratedPages, func(r *Mistake) float64 { return r.PageGain }) {
		if !slices.Contains(again, r) {
			again = append(again, r)
		}
	}
	again = slices.DeleteFunc(again, func(r *Mistake) bool { return r.light }) // these are rated at each already
	numeric.ForEach(len(again), func(i int) {
		if !lead.s.Stopped() {
			again[i].rate(near)
		}
	})
}

// first are so many mistakes for which by gives most, if anything.
func first(all []*Mistake, n int, by func(r *Mistake) float64) []*Mistake {
	list := slices.DeleteFunc(slices.Clone(all), func(r *Mistake) bool { return math.IsInf(by(r), -1) })
	slices.SortStableFunc(list, func(a, b *Mistake) int { return cmp.Compare(by(b), by(a)) })
	return list[:min(n, len(list))]
}
