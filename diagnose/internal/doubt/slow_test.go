package doubt

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/search"
	"lostair/readings"
)

// What the rooms above do fast, done the slow way, for tests to hold against it.

// Cleaned is a fit without the rows that were set aside before or, if that is
// better, without those that are out by this hypothesis.
func Cleaned(s *fit.Study, h fit.Hypothesis) *fit.Fit {
	f := FitWithout(s, h)
	fresh := fit.Hypothesis{Rows: slices.DeleteFunc(slices.Clone(h.Rows), func(w *fit.Wrong) bool { return w.Drop })}
	if len(fresh.Rows) == len(h.Rows) {
		return f
	}
	if x := FitWithout(s, fresh); x.Score() > f.Score() {
		return x
	}
	return f
}

// FitWithout fits a hypothesis, leaving out a few rows that are far out if that
// makes it likelier; the prior of these is the fit's.
func FitWithout(s *fit.Study, h fit.Hypothesis) *fit.Fit {
	prior := 0.0
	for _, w := range h.Rows {
		if w.Drop {
			prior += math.Log(w.Prior)
		}
	}
	best := s.Afresh(h)
	best.Prior = prior
	for range misreadMost {
		i, far := furthest(s, best)
		if far < misreadFar {
			break
		}
		w := search.Dropped(s, i)
		prior += math.Log(w.Prior)
		h.Rows = append(slices.DeleteFunc(slices.Clone(h.Rows), func(o *fit.Wrong) bool { return o.Observation == i }), w)
		f := s.Afresh(h)
		if f.Prior = prior; f.Score() <= best.Score() {
			break
		}
		best = f
	}
	if s.Lost != nil && best.Ok() && !best.GivenUp() {
		s.Polished(best)
	}
	return best
}

// furthest is the observation that lies furthest off what all others make of
// it, and by how many sigmas.
func furthest(s *fit.Study, f *fit.Fit) (at int, far float64) {
	var inv mat.SymDense
	if !f.Ok() || !numeric.Solved(f.Fit.Chol.InverseTo(&inv)) {
		return 0, 0
	}
	for i := range s.Observation {
		if z := math.Abs(f.Fit.Alpha.AtVec(i)) / math.Sqrt(inv.At(i, i)); z > far {
			at, far = i, z
		}
	}
	return at, far
}

// Slipped takes readings to be wrong by a factor.
func Slipped(g *search.Search, list []int, a Slip) misread {
	x := misread{gauge: -1, prior: a.Prior, doubt: func(*fit.Fit) string { return a.say }}
	for _, w := range g.Sound.Rows {
		if !slices.Contains(list, w.Observation) {
			x.H.Rows = append(x.H.Rows, w)
		}
	}
	if a.loose {
		x.gauge = g.S.Observation[list[0]].GainIx
	}
	for _, i := range list {
		o := &g.S.Observation[i]
		w := &fit.Wrong{Observation: i, Y: o.Y * a.Factor, Cfg: -1, Log: math.Log(math.Abs(a.Factor))}
		v := o.Valued(w.Y, g.S.B.Survey.Readings[o.Reading].Quantity, g.S.M.Air.Density)
		w.Gain, w.Fresh = v.Gain, v.Fresh
		x.H.Rows = append(x.H.Rows, w)
	}
	return x
}

// AnotherSystem is that the survey is of a sound system which the baseline
// says nothing of.
func AnotherSystem(g *search.Search, x *Setup) DataError {
	s := fit.NewStudy(x.M, x.U, x.L, x.Survey, fit.Prior{Mean: make([]float64, x.L.N), Scale: 1})
	f := FitWithout(s, fit.Hypothesis{})
	fits := math.Inf(-1)
	if f.Ok() {
		fits = Averaged(s, f) + f.Prior
	}
	return DataError{Score: fits + math.Log(AnotherPrior), Soon: true, Fits: fits, Doubt: fault.Doubt{Kind: fault.BaselineAnother}}
}

// Averaged is the evidence of a fit over all factors on spreads and fresh errors.
func Averaged(s *fit.Study, f *fit.Fit) float64 {
	var all, norm []float64
	for _, k := range search.Scales() {
		norm = append(norm, k.Prior)
		if v, ok := s.Rescaled(f, k.Spread, k.Fresh); ok {
			all = append(all, v+k.Prior)
		}
	}
	return numeric.LogSumExp(all) - numeric.LogSumExp(norm)
}

// Settings are the settings of the gates for which another may be written.
func Settings(g *search.Search, cfg int) []readings.Open {
	was := g.S.B.Configs[cfg]
	var open []string
	gates := g.S.M.Sys.Gates()
	for _, id := range gates {
		if was.Open.Opens(id) {
			open = append(open, id)
		}
	}
	var out []readings.Open
	for _, id := range gates {
		if k := slices.Index(open, id); k >= 0 {
			out = append(out, readings.Open{Gates: slices.Delete(slices.Clone(open), k, k+1)})
			continue
		}
		more := append(slices.Clone(open), id)
		slices.Sort(more)
		out = append(out, readings.Open{Gates: more})
		if len(open) == 1 {
			out = append(out, readings.Open{Gates: []string{id}})
		}
	}
	return out
}
