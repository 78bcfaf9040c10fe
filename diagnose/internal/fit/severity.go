package fit

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/numeric"
)

// SeverityAt is a severity as it is told, in the transformed z, with its
// posterior standard deviation.
func (s *Study) SeverityAt(f *Fit, k int) (z, sd float64) {
	return s.severity(s, f, f.At, f.Faults, k)
}

// SeverityAt is a severity as it is told of survey k, in the transformed z,
// with its posterior standard deviation.
func (p *Pair) SeverityAt(f *Fit, k, which int) (z, sd float64) {
	at, h, _ := p.Part(k, f.At, f.Hypothesis)
	return p.severity(p.S[k], f, at, h.Faults, which)
}

// severity is that, as a survey sees it that has these faults.
func (s *Study) severity(of *Study, f *Fit, at Point, faults []*fault.Variant, k int) (z, sd float64) {
	v, z := f.Faults[k], f.At.Z[k]
	g, gz := make([]float64, s.N), make([]float64, len(f.Faults))
	gz[k] = 1
	if v.Kind == fault.GateLeaking {
		of.SetCoefs(at, faults)
		z, gz[k] = asbuilt.LeftOpen(v, of.U, &of.Coef, of.Vals, z, g) // as built, all surveys have it
	}
	return z, math.Sqrt(s.Variance(f, g, gz) + fault.LawVariance(v.Kind, z))
}

// Common is the variance of a severity, in the transformed z, that surveys of one system
// have in common however many there are: what the shared parameters may be off moves each
// of them alike. The severity's own prior is left out, as where surveys are taken together.
// Nothing of a fit that failed.
func (s *Study) Common(f *Fit, k int) float64 {
	if f.Fit == nil {
		return 0
	}
	sd, gz := f.Faults[k].Usual().Sd, make([]float64, len(f.Faults))
	gz[k] = 1
	told := 1 - s.Variance(f, make([]float64, s.N), gz)/(sd*sd) // share of the prior's variance that the survey takes away
	x := mat.NewVecDense(len(s.Observation), nil)
	if told <= 0 || !numeric.Solved(f.Fit.Chol.SolveVecTo(x, mat.VecDenseCopyOf(f.Fit.Jz.ColView(k)))) {
		return 0
	}
	w := f.Fit.backOf(x, s.N)
	for i := s.Own; i < s.N; i++ {
		w.SetVec(i, 0)
	}
	by := sd * sd / told
	return by * by * mat.Dot(w, s.Cov(w))
}
