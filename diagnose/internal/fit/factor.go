package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/numeric"
)

// factor builds S at the current linearisation and factors it.
func (s *Study) factor(f *Fit, d *Detail) bool { return s.factorAs(f, d, true) }

// factorAs does so, or, if it need not be exact and that is worth while, with
// what the readings shared before: then it helps to solve with S, and gives
// the evidence roughly.
func (s *Study) factorAs(f *Fit, d *Detail, exact bool) bool {
	if s.Large() {
		return s.factorPatches(f, d)
	}
	S := d.Chol.Room(len(s.Observation))
	d.noiseScale = !exact && !s.Held && d.shared != nil && d.Rows == nil && s.Pr.V != nil && slices.Contains(d.stale, true)
	if !d.noiseScale {
		s.Share(d)
	}
	s.Spread(d, S)
	if s.Held && !s.factorSound(d, S) {
		return false
	}
	s.addFaults(S, f, d)
	return d.Chol.Factorize(S)
}

// factorSound factors S without the faults' part.
func (s *Study) factorSound(d *Detail, S *mat.SymDense) bool {
	sound := d.Sound.Room(len(s.Observation))
	sound.CopySym(S)
	s.addFresh(sound, d)
	return d.Sound.Factorize(sound)
}

// addFaults adds to S what the faults' severities and the fresh errors spread.
func (s *Study) addFaults(S *mat.SymDense, f *Fit, d *Detail) {
	m := len(s.Observation)
	if nz := len(f.Faults); nz > 0 {
		scaled := mat.DenseCopyOf(d.Jz)
		for x := range nz {
			for i := range m {
				scaled.Set(i, x, scaled.At(i, x)*f.Faults[x].Usual().Sd)
			}
		}
		blas64.Syrk(blas.NoTrans, 1, scaled.RawMatrix(), 1, S.RawSymmetric())
	}
	s.addFresh(S, d)
}

// addFresh adds to S what the fresh errors spread.
func (s *Study) addFresh(S *mat.SymDense, d *Detail) {
	for i, v := range d.Noise {
		S.SetSym(i, i, S.At(i, i)+v*s.NoiseScale*s.NoiseScale)
	}
}

// weigh works out the evidence with the S last factored.
func (s *Study) weigh(f *Fit, d *Detail) bool {
	m, n, nz := len(s.Observation), s.N, len(f.Faults)
	off := make([]float64, n)
	floats.SubTo(off, f.At.Theta, s.Pr.Mean)
	by := d.Times(off)
	for i := range m {
		r := d.Y[i] - d.H[i]
		r += by[i]
		for k := range nz {
			r += d.Jz.At(i, k) * (f.At.Z[k] - f.Faults[k].Usual().Mean)
		}
		d.R[i] = r
	}
	d.Alpha = mat.NewVecDense(m, nil)
	rv := mat.NewVecDense(m, d.R)
	if d.noiseScale && !s.refine(f, d) && !s.factor(f, d) {
		return false
	}
	if !d.noiseScale && !numeric.Solved(d.Chol.SolveVecTo(d.Alpha, rv)) {
		return false
	}
	d.Quad = mat.Dot(rv, d.Alpha)
	f.Evidence = -0.5*d.Quad - 0.5*d.Chol.LogDet() - 0.5*float64(m)*math.Log(2*math.Pi)
	for _, w := range f.Rows {
		f.Evidence += w.Log
		if w.Drop {
			f.Evidence += 0.5 * math.Log(2*math.Pi*d.Noise[w.Observation]*s.NoiseScale*s.NoiseScale)
		}
	}
	return !math.IsNaN(f.Evidence)
}

// target is where the linearised posterior has its mean: θ = μ + C Jᵀ α.
func (s *Study) target(f *Fit, d *Detail) Point {
	next := Point{Theta: make([]float64, s.N), Z: make([]float64, len(f.Faults)), Dual: make([]float64, s.N)}
	back := d.Back(s.N)
	floats.AddScaled(next.Dual, s.PriorScale*s.PriorScale, back.RawVector().Data)
	t := s.Cov(back)
	for x := range next.Theta {
		next.Theta[x] = s.Pr.Mean[x] + t.AtVec(x)
	}
	if s.Held {
		next.Theta, next.Dual = slices.Clone(s.Pr.Mean), make([]float64, s.N)
	}
	for k := range next.Z {
		sp := f.Faults[k].Usual()
		var g float64
		for i := range d.R {
			g += d.Jz.At(i, k) * d.Alpha.AtVec(i)
		}
		next.Z[k] = sp.Mean + sp.Sd*sp.Sd*g
	}
	return next
}
