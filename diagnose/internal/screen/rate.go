package screen

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
)

// Linear is what ideas do to the readings in proportion: of a large survey it is worked
// out anew where it is wanted, since that of all ideas takes too much room.
type Linear struct {
	s   *fit.Study
	f   *fit.Fit
	add []*fault.Variant // what each idea adds
	all *mat.Dense
}

// Of is that of some ideas, by columns.
func (l *Linear) Of(some []int) *mat.Dense {
	if l.all != nil {
		return numeric.Columns(l.all, some)
	}
	out := mat.NewDense(len(l.s.Observation), max(len(some), 1), nil)
	list := make([]*fault.Variant, len(some))
	for n, k := range some {
		list[n] = l.add[k]
	}
	Effects(l.s, l.f, list, out)
	return out
}

// ratedAtOnce is how many ideas of a large survey are rated at once.
const ratedAtOnce = 2048

// Rate rates ideas by the linear effect of the fault last added, in such ducts.
func Rate(s *fit.Study, f *fit.Fit, list []Idea, ducts []int) *Linear {
	l := &Linear{s: s, f: f, add: make([]*fault.Variant, len(list))}
	for k := range list {
		l.add[k] = list[k].Faults[len(list[k].Faults)-1]
	}
	at := len(list)
	if s.Large() {
		at = ratedAtOnce
	}
	for from := 0; from < len(list); from += at {
		to := min(from+at, len(list))
		effect := mat.NewDense(len(s.Observation), to-from, nil)
		Effects(s, f, l.add[from:to], effect)
		pull, size := pulls(s, f, effect, ducts[from:to])
		for k := range pull {
			x := &list[from+k]
			x.Score, x.Times = f.Evidence+x.Prior+AmplitudeGain(pull[k], size[k]), timesOf(pull[k], size[k])
		}
		if !s.Large() {
			l.all = effect
		}
	}
	return l
}

// pulls are g and w of AmplitudeGain for each column of effects, of faults in such ducts.
func pulls(s *fit.Study, f *fit.Fit, effect *mat.Dense, ducts []int) (g, size []float64) {
	_, n := effect.Dims()
	by := mat.NewVecDense(n, nil)
	by.MulVec(effect.T(), f.Fit.Alpha)
	return by.RawVector().Data, sizes(s, f, effect, ducts)
}

// sizes are vᵀ S⁻¹ v of what single faults in such ducts do to the readings, by columns.
func sizes(s *fit.Study, f *fit.Fit, effect *mat.Dense, ducts []int) []float64 {
	out := SizesApart(s, f, effect, ducts)
	var rest []int
	for k, v := range out {
		if math.IsNaN(v) {
			rest = append(rest, k)
		}
	}
	switch len(rest) {
	case 0:
	case len(out):
		return f.Fit.Chol.Sizes(effect)
	default:
		for k, v := range f.Fit.Chol.Sizes(numeric.Columns(effect, rest)) {
			out[rest[k]] = v
		}
	}
	return out
}

// SizesApart are they by branches of a large survey, which is far quicker; NaN of those
// that are not of one.
func SizesApart(s *fit.Study, f *fit.Fit, effect *mat.Dense, ducts []int) []float64 {
	inside := f.Fit.Patches()
	if inside == nil {
		return slices.Repeat([]float64{math.NaN()}, len(ducts))
	}
	groups, block := make([]numeric.Apart, len(inside)), 0
	for k, list := range inside {
		if groups[k].Block = -1; len(list) > 0 { // the others are no patches
			groups[k].Block = block
			block++
		}
	}
	for n, x := range ducts {
		if at := s.Within(x); at >= 0 {
			groups[at].Cols = append(groups[at].Cols, n)
		}
	}
	kind, least := make([]int, len(s.Observation)), make([]float64, len(s.Observation))
	for i := range kind {
		kind[i], least[i] = s.Observation[i].Cfg, asFar*math.Sqrt(f.Fit.Noise[i])
	}
	return f.Fit.Chol.SizesApart(effect, groups, kind, least)
}

// asFar is the share of a reading's error by which what faults of a branch do to it
// elsewhere may not be in proportion.
const asFar = 1e-6
