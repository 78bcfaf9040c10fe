package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/numeric"
)

// Estimate is a flow worked out from a fitted hypothesis, with its standard deviation.
type Estimate struct{ Mean, Sd float64 }

// Estimates works out probes in one configuration under a fitted hypothesis,
// with a state that may have solved its like before; without says to take the
// faults away. What readings near a probe tell may be nil, for one or for all.
func (s *Study) Estimates(st *airflow.State, f *Fit, cfg airflow.Config, probes []airflow.Probe, without bool, by []*numeric.Nearby) []Estimate {
	x := s.At(f, without)
	if st.Solve(x.coef, cfg) != nil {
		return nil
	}
	st.Prepare()
	out := make([]Estimate, len(probes))
	for i, p := range probes {
		var near *numeric.Nearby
		if by != nil {
			near = by[i]
		}
		out[i] = s.EstimateAt(x, st, p, near)
	}
	return out
}

// FitAt is the system as a fit has it, or as it is without the fit's faults.
type FitAt struct {
	f      *Fit
	faults []*fault.Variant
	coef   *airflow.Coefs
	vals   []float64
}

// At is such a system; states may be solved and kept with it.
func (s *Study) At(f *Fit, without bool) *FitAt {
	x := &FitAt{f: f, faults: f.Faults}
	if without {
		x.faults = nil
	}
	s.SetCoefs(f.At, x.faults)
	c := s.Coef.Clone()
	x.coef, x.vals = &c, slices.Clone(s.Vals)
	return x
}

// Solved is its state in a configuration, ready for EstimateAt; nil if it can't be solved.
func (s *Study) Solved(x *FitAt, cfg airflow.Config) *airflow.State {
	st := s.M.NewState()
	if st.Solve(x.coef, cfg) != nil {
		return nil
	}
	st.Prepare()
	return st
}

// EstimateAt works out a probe of a state so solved.
func (s *Study) EstimateAt(x *FitAt, st *airflow.State, p airflow.Probe, near *numeric.Nearby) Estimate {
	d := s.dependsOn(x, st, p)
	shift, less := near.On(d.row, d.gz, d.lost)
	v := s.Variance(x.f, d.row, d.gz) + d.left - less
	return Estimate{st.Value(p) + shift, math.Sqrt(max(v, minVariance))}
}

// MeanAt is its mean alone.
func (s *Study) MeanAt(x *FitAt, st *airflow.State, p airflow.Probe, near *numeric.Nearby) float64 {
	if near == nil {
		return st.Value(p)
	}
	d := s.dependsOn(x, st, p)
	shift, _ := near.On(d.row, d.gz, d.lost)
	return st.Value(p) + shift
}

// dependence is how a quantity depends on parameters, severities, and the
// parameters left out, and the variance that these give it.
type dependence struct {
	row, gz, lost []float64
	left          float64
}

func (s *Study) dependsOn(x *FitAt, st *airflow.State, p airflow.Probe) dependence {
	d := dependence{make([]float64, s.N), make([]float64, len(x.f.Faults)), make([]float64, s.All), 0}
	copy(s.Vals, x.vals)
	st.Sensitivity(p, s.Grad)
	s.U.Row(s.Grad, s.Vals, d.row)
	for k, v := range x.faults {
		for _, e := range v.Slopes(x.coef, x.f.At.Z[k]) {
			d.gz[k] += *e.Slot.Of(&s.Grad.Coefs) * e.By
		}
	}
	d.left = s.LeftOut(s.Grad, d.lost)
	return d
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
	t := mat.NewVecDense(len(s.Observation), f.Fit.Times(cg.RawVector().Data))
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
