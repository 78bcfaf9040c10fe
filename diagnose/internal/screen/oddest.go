package screen

import (
	"maps"
	"math"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
)

// Oddest is the observation that lies furthest off what all others make of it, with what
// would fit in its place, and how many standard deviations off it is; those of which
// nothing is believed and those to be kept are left out. -1: none.
func Oddest(s *fit.Study, f *fit.Fit, keep map[int]bool) (i int, fits, far float64) {
	var inv mat.SymDense
	if !numeric.Solved(f.Fit.Chol.InverseTo(&inv)) {
		return -1, 0, 0
	}
	out := maps.Clone(keep)
	if out == nil {
		out = map[int]bool{}
	}
	for _, w := range f.Rows {
		out[w.Observation] = out[w.Observation] || w.Drop
	}
	i = -1
	for x := range s.Observation {
		a, v := f.Fit.Alpha.AtVec(x), inv.At(x, x)
		if z := math.Abs(a) / math.Sqrt(v); z > far && !out[x] {
			i, fits, far = x, f.Fit.Y[x]-a/v, z
		}
	}
	return i, fits, far
}
