package screen

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
)

// SecondLook rates a worker's share of some ideas by what they do at a typical
// severity. Where an idea hardly moves a reading its linear effect will do, so
// that only the configurations in which it does more have to be solved.
// effect is that of the ideas looked at, by columns.
func SecondLook(s *fit.Study, f *fit.Fit, first []Idea, effect *mat.Dense, by []int, w int) {
	m := len(s.Observation)
	h := make([]float64, m)
	d, sd := mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
	for n := w; n < len(by); n += numeric.Workers {
		k := by[n]
		x := &first[k]
		v := x.Faults[len(x.Faults)-1]
		p := fit.Point{Theta: f.At.Theta, Z: append(slices.Clone(f.At.Z), v.Usual().Mean)}
		was, solve := f.Fit.H, MovedBy(s, f, effect, n)
		if x.Start = HandedOver(s, f.At, v); x.Start != nil {
			was, solve = make([]float64, m), nil
			p.Theta = x.Start.Theta
			if s.PredictRoughly(*x.Start, f.Hypothesis, was, nil) != nil {
				continue
			}
		}
		if s.PredictRoughly(p, x.Hypothesis, h, solve) != nil {
			continue // as the first look has it
		}
		for i, o := range s.Observation {
			if solve == nil || solve[o.Cfg] {
				d.SetVec(i, h[i]-was[i])
			} else {
				d.SetVec(i, effect.At(i, n))
			}
		}
		if !numeric.Solved(f.Fit.Chol.SolveVecTo(sd, d)) {
			continue
		}
		g, size := mat.Dot(d, f.Fit.Alpha), mat.Dot(d, sd)
		x.Score = f.Evidence + x.Prior + AmplitudeGain(g, size)
		x.Z, x.Times = v.Doing(Amplitude(g, size)), timesOf(g, size)
		if Amplitude(g, size) > heavyFrom {
			heavier(s, f, x, p, was, solve, func(i int) float64 { return effect.At(i, n) }, d, sd)
		}
	}
}

// SecondLooks is how many additions are solved exactly.
const SecondLooks = 24

// MovedBy says in which configurations an addition moves a reading by more than
// is linear, or a row is read otherwise than written.
func MovedBy(s *fit.Study, f *fit.Fit, effect *mat.Dense, k int) []bool {
	if s.Both() != nil {
		return nil // all of both
	}
	out := make([]bool, len(s.By))
	for i, o := range s.Observation {
		e := effect.At(i, k)
		out[o.Cfg] = out[o.Cfg] || e*e > LinearUpTo*LinearUpTo*f.Fit.Noise[i]
	}
	for _, w := range f.Rows {
		out[s.Observation[w.Observation].Cfg] = true
		if w.Cfg >= 0 {
			out[w.Cfg] = true
		}
	}
	return out
}

// HandedOver is a point at which the filter or the fan is as the prior has it,
// where a fit has bent it far off to explain what a fault of it would: from
// there the fault takes the place of that. Nil if it is not so.
func HandedOver(s *fit.Study, at fit.Point, v *fault.Variant) *fit.Point {
	if s.Both() != nil {
		return nil
	}
	var part int
	switch v.Kind {
	case fault.FilterLoaded:
		part = s.U.Filter
	case fault.FanWeak:
		part = s.U.Speed
	default:
		return nil
	}
	p, far := at.Clone(), 0.0
	for _, x := range s.U.Parts[part].Ix {
		if x >= 0 {
			far = max(far, math.Abs(p.Theta[x]-s.Pr.Mean[x]))
			p.Theta[x] = s.Pr.Mean[x]
			if p.Dual != nil {
				p.Dual[x] = 0
			}
		}
	}
	if far < bentOff {
		return nil
	}
	if s.Pr.V != nil {
		p.Dual = nil
	}
	return &p
}

// bentOff is how far from the prior mean, in standard deviations, a filter or a fan is bent.
const bentOff = 1.5

// LinearUpTo is how far a reading may be moved, in fresh errors, and be taken
// to move in proportion.
const LinearUpTo = 0.05
