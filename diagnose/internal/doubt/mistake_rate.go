package doubt

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/numeric"
)

// mistakeSlack is the share of what a mistake gains that the screen may be off by.
const mistakeSlack = 0.15

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
