package search

import (
	"math"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
)

// Joint weighs explanations by a survey and a baseline at once. What a baseline
// teaches is carried on as a mean and a covariance, and those hold near the
// mean: the loss of a leak grows with the exponential of its parameter, so a
// sound system may seem free to leak far more than the baseline ever allowed.
// So the search goes by what was carried on, which is fast, and what comes near
// the best is fitted to both surveys.
type Joint struct {
	P      *fit.Pair
	alone  *fit.Study     // of the baseline
	Sound  fit.Hypothesis // of the baseline, its wrong rows set aside
	at     fit.Point      // where the baseline's fit stands
	before fit.Prior      // known without it
	l      fit.Layout
	base   []float64 // log evidence of the baseline alone, by scale
	Mean   float64   // the same over all scales
}

// scaled sets the factors on spreads and fresh errors, and works out how
// probable the baseline is by itself under these and others, and what it
// teaches under these; false if it can't be.
func (j *Joint) scaled(k Scale) (fit.Prior, bool) {
	j.P.PriorScale, j.P.NoiseScale = k.Spread, k.Fresh
	j.alone.PriorScale, j.alone.NoiseScale = k.Spread, k.Fresh
	f := j.alone.Fit(j.Sound, j.at)
	if !f.Ok() {
		return fit.Prior{}, false
	}
	taught, err := j.alone.PriorAfter(f, j.l, j.before)
	if err != nil {
		return fit.Prior{}, false
	}
	j.at = f.At
	var all, norm []float64
	j.base = nil
	for _, k := range Scales() {
		v, ok := j.alone.Rescaled(f, k.Spread, k.Fresh)
		if !ok {
			v = math.Inf(-1)
		}
		j.base = append(j.base, v)
		all, norm = append(all, v+k.Prior), append(norm, k.Prior)
	}
	j.Mean = numeric.LogSumExp(all) - numeric.LogSumExp(norm)
	return taught, true
}

// Of is the evidence of the baseline by itself under some factors.
func (j *Joint) Of(k Scale) float64 {
	for i, x := range Scales() {
		if x == k {
			return j.base[i]
		}
	}
	return math.Inf(-1)
}

// twin is the same with solver states of its own.
func (j *Joint) twin() *Joint {
	t := *j
	t.P = j.P.Twin()
	return &t
}

// fit fits an explanation of the survey to both, from where the survey's own fit stands.
func (j *Joint) fit(f *fit.Fit) *fit.Fit {
	at := fit.Point{Theta: make([]float64, j.P.N), Z: f.At.Z}
	copy(at.Theta[j.P.Common:], j.at.Theta[j.alone.Own:])
	for x, v := range f.At.Theta {
		at.Theta[j.P.Column(1, x)] = v
	}
	h := fit.Hypothesis{Rows: slices.Concat(j.Sound.Rows, j.P.Rows(1, f.Rows))}
	for _, v := range f.Faults {
		h.Faults = append(h.Faults, v.In(fault.After))
	}
	return j.P.Fit(h, at)
}
