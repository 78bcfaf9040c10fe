package screen

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
)

// Rows estimates what each wrong row would gain, and lists those that promise no
// less than least; the change of one observation has its gain in closed form.
func Rows(s *fit.Study, f *fit.Fit, rows []*fit.Wrong, least float64) []Idea {
	if len(rows) == 0 {
		return nil
	}
	inv := InverseDiagonal(s, f)
	if inv == nil {
		return nil
	}
	taken := map[int]int{}
	for k, w := range f.Rows {
		taken[w.Observation] = k + 1
	}
	var out []Idea
	for _, w := range rows {
		k := taken[w.Observation]
		gain := rowGain(s, f, w, f.Fit.Alpha.AtVec(w.Observation), inv[w.Observation])
		if math.IsNaN(gain) || k > 0 && f.Rows[k-1] == w {
			continue
		}
		prior := f.Prior + math.Log(w.Prior)
		if k > 0 {
			// another explanation of a row that is taken to be wrong already
			old := f.Rows[k-1]
			prior -= math.Log(old.Prior)
			gain -= old.Log
			if old.Drop {
				gain -= 0.5 * math.Log(2*math.Pi*f.Fit.Noise[w.Observation]*s.NoiseScale*s.NoiseScale)
			}
		}
		score := f.Evidence + prior + gain
		if score < least {
			continue
		}
		hy := fit.Hypothesis{Faults: f.Faults, Rows: append(slices.Clone(f.Rows), w)}
		if n := len(f.Rows); k > 0 {
			hy.Rows[k-1], hy.Rows = w, hy.Rows[:n]
		}
		out = append(out, Idea{Hypothesis: hy, From: f, Prior: prior, Score: score})
	}
	return out
}

// rowGain is the log Bayes factor for taking a row to be wrong in the way of w.
// a is [S⁻¹r] and q is [S⁻¹] of the row: given all others it is normal about
// y − a/q with variance 1/q.
func rowGain(s *fit.Study, f *fit.Fit, w *fit.Wrong, a, q float64) float64 {
	i := w.Observation
	mean := f.Fit.Y[i] - a/q
	here := -0.5 * a * a / q
	base := s.BaseNoise(i)
	v := 1/q - f.Fit.Noise[i]*s.NoiseScale*s.NoiseScale // what it should vary by, apart from its own error
	if o := &s.Observation[i]; w.Slip() {
		base = w.Noise()
		v = max(v-max(o.Gain*o.Gain-w.Gain*w.Gain, 0), 0)
	}
	v += base * s.NoiseScale * s.NoiseScale
	if v <= 0 {
		return math.NaN()
	}
	// of the row as it stands in the fit, to be taken out
	gain := -here - 0.5*math.Log(q)
	switch {
	case w.Drop:
		return gain + 0.5*math.Log(2*math.Pi) + w.Log
	case w.Cfg >= 0:
		// a change of the expectation is a change of the observation the other way
		d := s.Observation[i].Y - (s.Elsewhere(f.At, w) - f.Fit.H[i]) - mean
		return gain - 0.5*d*d/v - 0.5*math.Log(v) + w.Log
	}
	d := w.Y - mean
	return gain - 0.5*d*d/v - 0.5*math.Log(v) + w.Log
}

// outByItself is by how many errors a reading is out for its row to be looked at.
const outByItself = 1.5

// InverseDiagonal is the diagonal of S⁻¹; nil if there is none. Of a large survey
// it is worked out where a reading is out by itself, and NaN elsewhere: no row
// there is wrong.
func InverseDiagonal(s *fit.Study, f *fit.Fit) []float64 {
	m := len(s.Observation)
	out := make([]float64, m)
	if !s.Large() {
		var inv mat.SymDense
		if !numeric.Solved(f.Fit.Chol.InverseTo(&inv)) {
			return nil
		}
		for i := range out {
			out[i] = inv.At(i, i)
		}
		return out
	}
	numeric.ForEach(m, func(i int) {
		out[i] = math.NaN()
		if math.Abs(f.Fit.Alpha.AtVec(i))*math.Sqrt(f.Fit.Noise[i])*s.NoiseScale > outByItself {
			e := mat.NewVecDense(m, nil)
			e.SetVec(i, 1)
			out[i] = numeric.SolveDot(&f.Fit.Chol, e)
		}
	})
	return out
}
