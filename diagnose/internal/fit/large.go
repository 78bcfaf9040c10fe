package fit

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/numeric"
)

// A large survey is one whose covariance takes longer to factor than its
// readings to predict. Then a fit solves with the factor of one near it, by
// conjugate gradients, and factors its own only at its end.

// Large says whether the study is of a large survey.
func (s *Study) Large() bool { return s.Lost != nil && len(s.Observation) > ThinAbove }

// Thinned says whether the study is of those readings of a large survey that were kept.
func (s *Study) Thinned() bool { return s.Lost != nil && !s.Large() }

// Stopped says whether work may end: whoever asked has gone.
func (s *Study) Stopped() bool { return s.Stop != nil && s.Stop() }

// settledLarge is settledGain for a large survey: beside what its readings say for
// or against a fault the rest is small.
const (
	settledLarge   = 0.7
	settledThinned = 0.05 // and for the readings kept of one
)

func (s *Study) settled() float64 {
	switch {
	case s.Large() && !s.exact:
		return settledLarge
	case s.Lost != nil:
		return settledThinned
	}
	return settledGain
}

// nearFactor is the factor to solve with on the way; nil: its own.
func (s *Study) nearFactor(exact bool) *numeric.Cholesky {
	if exact || !s.Large() || s.Ref == nil || s.Ref.noiseScale || !s.Ref.Chol.Has(len(s.Observation)) {
		return nil
	}
	return &s.Ref.Chol
}

// solver is the factor that a linearisation solves with.
func (d *Detail) solver() *numeric.Cholesky {
	if d.noiseScale && d.near != nil {
		return d.near
	}
	return &d.Chol
}

// spotsLooked is how many readings are looked at to see how well they tell of one
// thing: those that it moves most. What fewer readings tell is never more than
// what all do.
const spotsLooked = 48

// Told is eᵀ S⁻¹ e by the readings that e moves most, and whether those hold nearly
// all of it.
func (s *Study) Told(f *Fit, e []float64, by []int, noise []float64) (told float64, all bool) {
	by = by[:0]
	var sum float64
	for i, v := range e {
		if v != 0 {
			by = append(by, i)
			sum += v * v / noise[i]
		}
	}
	if len(by) > spotsLooked {
		sort.Slice(by, func(a, b int) bool {
			x, y := by[a], by[b]
			p, q := e[x]*e[x]/noise[x], e[y]*e[y]/noise[y]
			return p > q || p == q && x < y
		})
		by = by[:spotsLooked]
	}
	n := len(by)
	if n == 0 {
		return 0, true
	}
	var held float64
	S := mat.NewSymDense(n, nil)
	v := mat.NewVecDense(n, nil)
	for a, i := range by {
		held += e[i] * e[i] / noise[i]
		v.SetVec(a, e[i])
		for b := a; b < n; b++ {
			S.SetSym(a, b, s.covarianceOf(f, i, by[b]))
		}
	}
	var c numeric.Cholesky
	if !c.Factorize(S) {
		return math.Inf(1), true
	}
	return numeric.SolveDot(&c, v), held > nearlyAll*sum
}

// nearlyAll is the share of what a thing does to all readings that a few must
// hold to stand for all.
const nearlyAll = 0.9

// covarianceOf is S of two readings, of a fit that has its own.
func (s *Study) covarianceOf(f *Fit, i, j int) float64 {
	d, m := f.Fit, len(s.Observation)
	v := s.PriorScale * s.PriorScale * d.shared[min(i, j)*m+max(i, j)]
	for k, x := range f.Faults {
		sd := fault.Severities[x.Kind].Sd
		v += sd * sd * d.Jz.At(i, k) * d.Jz.At(j, k)
	}
	if i == j {
		v += d.Noise[i] * s.NoiseScale * s.NoiseScale
	}
	return v
}

// Light drops what of a fit's linearisation is large and only its screen needs.
func (f *Fit) Light() {
	if f.Fit == nil {
		return
	}
	d := *f.Fit
	d.shared, d.sharedRows, d.Chol, d.near = nil, nil, numeric.Cholesky{}, nil
	f.Fit = &d
}

// IsLight says whether that is so.
func (f *Fit) IsLight() bool { return f.Fit != nil && f.Fit.shared == nil }
