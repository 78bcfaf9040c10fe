package fit

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/numeric"
)

// quantityAt is a flow worked out from a fitted hypothesis, with its standard deviation.
type Estimate struct{ Mean, Sd float64 }

// Estimates works out probes in one configuration under a fitted hypothesis,
// with a state that may have solved its like before; without says to take the
// faults away. What readings near a probe tell may be nil, for one or for all.
func (s *Study) Estimates(st *airflow.State, f *Fit, cfg airflow.Config, probes []airflow.Probe, without bool, by []*Nearby) []Estimate {
	faults := f.Faults
	if without {
		faults = nil
	}
	s.SetCoefs(f.At, faults)
	if st.Solve(&s.Coef, cfg) != nil {
		return nil
	}
	st.Prepare()
	out := make([]Estimate, len(probes))
	row, wide := make([]float64, s.N), make([]float64, s.All)
	for i, p := range probes {
		st.Sensitivity(p, s.Grad)
		clear(row)
		s.U.Row(s.Grad, s.Vals, row)
		gz := make([]float64, len(f.Faults))
		for k, v := range faults {
			for _, e := range v.Slopes(&s.Coef, f.At.Z[k]) {
				gz[k] += *e.Slot.Of(&s.Grad.Coefs) * e.By
			}
		}
		mean, v := st.Value(p), s.Variance(f, row, gz)+s.LeftOut(s.Grad, wide)
		if by != nil {
			shift, less := by[i].on(row, gz, wide)
			mean, v = mean+shift, max(v-less, minVariance)
		}
		out[i] = Estimate{mean, math.Sqrt(v)}
	}
	return out
}

// Variance is the posterior variance of a quantity with gradient g by θ and gz by z.
func (s *Study) Variance(f *Fit, g, gz []float64) float64 {
	cg := s.Cov(mat.NewVecDense(s.N, g))
	v := mat.Dot(cg, mat.NewVecDense(s.N, g))
	for k := range gz {
		sd := f.Faults[k].Usual().Sd
		v += gz[k] * gz[k] * sd * sd
	}
	return math.Max(v-numeric.SolveDot(&f.Fit.Chol, s.withReadings(f, cg, gz)), minVariance)
}

const minVariance = 1e-18 // for rounding

// withReadings is the prior covariance of the readings with a quantity of which
// cg is that with the parameters, and gz the gradient by the severities.
func (s *Study) withReadings(f *Fit, cg *mat.VecDense, gz []float64) *mat.VecDense {
	t := mat.NewVecDense(len(s.Observation), nil)
	for i := range s.Observation {
		t.SetVec(i, f.Fit.Times(i, cg.RawVector().Data))
	}
	for k := range gz {
		sd := f.Faults[k].Usual().Sd
		for i := range s.Observation {
			t.SetVec(i, t.AtVec(i)+f.Fit.Jz.At(i, k)*sd*sd*gz[k])
		}
	}
	return t
}

// CovarianceWith is the posterior covariance of a quantity with gradient g and gz
// with others, as a function of their gradients: that of each more costs little.
func (s *Study) CovarianceWith(f *Fit, g, gz []float64) func(h, hz []float64) float64 {
	cg := s.Cov(mat.NewVecDense(s.N, g))
	a := mat.NewVecDense(len(s.Observation), nil)
	if !numeric.Solved(f.Fit.Chol.SolveVecTo(a, s.withReadings(f, cg, gz))) {
		a.Zero()
	}
	d := *f.Fit
	d.Alpha = a
	cg.SubVec(cg, s.Cov(d.Back(s.N)))
	z := make([]float64, len(gz))
	for k := range gz {
		sd := f.Faults[k].Usual().Sd
		z[k] = sd * sd * (gz[k] - mat.Dot(f.Fit.Jz.ColView(k), a))
	}
	return func(h, hz []float64) float64 {
		return floats.Dot(cg.RawVector().Data, h) + floats.Dot(z, hz)
	}
}
