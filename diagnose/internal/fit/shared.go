package fit

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/numeric"
)

// What the parameters give the readings, K = J C Jᵀ with C = scale·I − V Vᵀ, is
// kept with a linearisation, without the factor on the spread. What two rows
// share is taken over while neither has changed: most stay as they are from
// step to step and from one explanation to the next.

// Spread is κ² K, written to the upper half of S.
func (s *Study) Spread(d *Detail, S *mat.SymDense) {
	m, k2, raw := len(s.Observation), s.PriorScale*s.PriorScale, S.RawSymmetric()
	for i := range m {
		to := raw.Data[i*raw.Stride : i*raw.Stride+m]
		for j := i; j < m; j++ {
			to[j] = k2 * d.shared[i*m+j]
		}
	}
}

// Share brings d.shared up to the rows of derivatives.
func (s *Study) Share(d *Detail) {
	if d.Rows != nil {
		s.shareRows(d)
		return
	}
	var rows []int
	for i, x := range d.stale {
		if x {
			rows = append(rows, i)
		}
	}
	m := len(s.Observation)
	if d.shared == nil {
		d.shared = make([]float64, m*m)
		if s.Pr.V != nil {
			_, k := s.Pr.V.Dims()
			d.jv = mat.NewDense(m, k, nil)
		}
	}
	switch {
	case len(rows) == 0:
		return
	case 2*len(rows) > m:
		s.shareAll(d)
	default:
		s.shareSome(d, rows)
	}
	clear(d.stale)
}

// shareAll works all of it out.
func (s *Study) shareAll(d *Detail) {
	m := len(s.Observation)
	sym := blas64.Symmetric{N: m, Stride: m, Data: d.shared, Uplo: blas.Upper}
	blas64.Syrk(blas.NoTrans, s.Pr.Scale, d.J.RawMatrix(), 0, sym)
	if s.Pr.V != nil {
		d.jv.Mul(d.J, s.Pr.V)
		blas64.Syrk(blas.NoTrans, -1, d.jv.RawMatrix(), 1, sym)
	}
}

// shareSome works out what some rows share with all.
func (s *Study) shareSome(d *Detail, rows []int) {
	m := len(s.Observation)
	j := pick(d.J, rows)
	g := blas64.General{Rows: len(rows), Cols: m, Stride: m, Data: make([]float64, len(rows)*m)}
	blas64.Gemm(blas.NoTrans, blas.Trans, s.Pr.Scale, j.RawMatrix(), d.J.RawMatrix(), 0, g)
	if s.Pr.V != nil {
		var jv mat.Dense
		jv.Mul(j, s.Pr.V)
		for k, i := range rows {
			d.jv.SetRow(i, jv.RawRowView(k))
		}
		blas64.Gemm(blas.NoTrans, blas.Trans, -1, jv.RawMatrix(), d.jv.RawMatrix(), 1, g)
	}
	for k, i := range rows {
		for x, v := range g.Data[k*m : (k+1)*m] {
			d.shared[min(i, x)*m+max(i, x)] = v
		}
	}
}

// pick is a matrix of some rows of another.
func pick(from *mat.Dense, rows []int) *mat.Dense {
	_, n := from.Dims()
	out := mat.NewDense(len(rows), n, nil)
	for k, i := range rows {
		copy(out.RawRowView(k), from.RawRowView(i))
	}
	return out
}

// shareRows does so for rows kept by branches; those of the fit it grew from are
// taken over if all rows are.
func (s *Study) shareRows(d *Detail) {
	if d.shared != nil && d.sharedRows == d.Rows {
		return
	}
	if ref := d.ref; ref != nil && ref.shared != nil && ref.sharedRows == d.Rows {
		d.shared, d.jv, d.sharedRows, d.borrowed = ref.shared, ref.jv, ref.sharedRows, true
		return
	}
	m := len(s.Observation)
	if d.shared == nil || d.borrowed {
		d.shared, d.borrowed = make([]float64, m*m), false
	}
	d.Rows.Shared(d.shared)
	d.sharedRows = d.Rows
	sym := blas64.Symmetric{N: m, Stride: m, Data: d.shared, Uplo: blas.Upper}
	if s.Pr.Scale != 1 {
		for i := range m {
			floats.Scale(s.Pr.Scale, d.shared[i*m+i:(i+1)*m])
		}
	}
	if s.Pr.V != nil {
		d.jv = d.Rows.Taught(s.Pr.V)
		blas64.Syrk(blas.NoTrans, -1, d.jv.RawMatrix(), 1, sym)
	}
}

// refine solves S α = r by conjugate gradients, with S as it is and the factor
// of one near it: exact apart from rounding, and far cheaper than S itself where
// a baseline has taught much. False if they don't get there soon.
func (s *Study) refine(f *Fit, d *Detail) bool {
	m := len(s.Observation)
	rest := mat.VecDenseCopyOf(mat.NewVecDense(m, d.R))
	z, p := mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
	d.Alpha.Zero()
	var first, old float64
	for range refineMost {
		if !numeric.Solved(d.Chol.SolveVecTo(z, rest)) {
			return false
		}
		now := mat.Dot(z, rest)
		if old == 0 {
			first = now
		} else if now <= refined*refined*first {
			return true
		}
		if math.IsNaN(now) || first <= 0 {
			return false
		}
		if old == 0 {
			p.CopyVec(z)
		} else {
			p.AddScaledVec(z, now/old, p)
		}
		q := s.timesS(f, d, p)
		by := now / mat.Dot(p, q)
		d.Alpha.AddScaledVec(d.Alpha, by, p)
		rest.AddScaledVec(rest, -by, q)
		old = now
	}
	return false
}

const (
	refineMost = 40   // steps; a factor of S costs as much
	refined    = 1e-6 // of the misfit that may be left
)

// timesS is S·x, without S, of derivatives that stand as a matrix.
func (s *Study) timesS(f *Fit, d *Detail, x *mat.VecDense) *mat.VecDense {
	out, t := mat.NewVecDense(len(s.Observation), nil), mat.NewVecDense(s.N, nil)
	t.MulVec(d.J.T(), x)
	out.MulVec(d.J, s.Cov(t))
	for k, v := range f.Faults {
		sd := v.Usual().Sd
		col := d.Jz.ColView(k)
		out.AddScaledVec(out, sd*sd*mat.Dot(col, x), col)
	}
	for i, v := range d.Noise {
		out.SetVec(i, out.AtVec(i)+v*s.NoiseScale*s.NoiseScale*x.AtVec(i))
	}
	return out
}
