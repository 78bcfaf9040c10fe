package fit

import (
	"math"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
)

// SeverityAt is a severity as it is told, in the transformed z, with its
// posterior standard deviation.
func (s *Study) SeverityAt(f *Fit, k int) (z, sd float64) {
	v, z := f.Faults[k], f.At.Z[k]
	g, gz := make([]float64, s.N), make([]float64, len(f.Faults))
	gz[k] = 1
	if v.Kind == fault.GateLeaking {
		s.SetCoefs(f.At, f.Faults)
		z, gz[k] = asbuilt.LeftOpen(v, s.U, &s.Coef, s.Vals, z, g)
	}
	return z, math.Sqrt(s.Variance(f, g, gz) + fault.LawVariance(v.Kind, z))
}

// SeverityAt is a severity as it is told of survey k, in the transformed z,
// with its posterior standard deviation.
func (p *Pair) SeverityAt(f *PairFit, k, which int) (z, sd float64) {
	v, z := f.Faults[which].Variant, f.At.Z[which]
	g, gz := make([]float64, p.N), make([]float64, len(f.Faults))
	gz[which] = 1
	if v.Kind == fault.GateLeaking {
		s := p.S[k]
		at, h, _ := p.Part(k, f)
		s.SetCoefs(at, h.Faults)
		z, gz[which] = asbuilt.LeftOpen(v, s.U, &s.Coef, s.Vals, z, g[:p.Common]) // as built, both have it
	}
	return z, math.Sqrt(p.Variance(f, g, gz) + fault.LawVariance(v.Kind, z))
}
