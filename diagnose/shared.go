package diagnose

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// What the parameters give the readings, K = J C Jᵀ with C = scale·I − V Vᵀ, is
// kept with a linearisation, without the factor on the spread. What two rows
// share is taken over while neither has changed: most stay as they are from
// step to step and from one explanation to the next.

// spread is κ² K, written to the upper half of S.
func (s *study) spread(d *fitDetail, S *mat.SymDense) {
	m, k2, raw := len(s.obs), s.kappa*s.kappa, S.RawSymmetric()
	for i := range m {
		to := raw.Data[i*raw.Stride : i*raw.Stride+m]
		for j := i; j < m; j++ {
			to[j] = k2 * d.shared[i*m+j]
		}
	}
}

// share brings d.shared up to the rows of derivatives.
func (s *study) share(d *fitDetail) {
	if d.rows != nil {
		s.shareSparse(d)
		return
	}
	var rows []int
	for i, x := range d.stale {
		if x {
			rows = append(rows, i)
		}
	}
	m := len(s.obs)
	if d.shared == nil {
		d.shared = make([]float64, m*m)
		if s.pr.v != nil {
			_, k := s.pr.v.Dims()
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
func (s *study) shareAll(d *fitDetail) {
	m := len(s.obs)
	sym := blas64.Symmetric{N: m, Stride: m, Data: d.shared, Uplo: blas.Upper}
	blas64.Syrk(blas.NoTrans, s.pr.scale, d.j.RawMatrix(), 0, sym)
	if s.pr.v != nil {
		d.jv.Mul(d.j, s.pr.v)
		blas64.Syrk(blas.NoTrans, -1, d.jv.RawMatrix(), 1, sym)
	}
}

// shareSome works out what some rows share with all.
func (s *study) shareSome(d *fitDetail, rows []int) {
	m := len(s.obs)
	j := pick(d.j, rows)
	g := blas64.General{Rows: len(rows), Cols: m, Stride: m, Data: make([]float64, len(rows)*m)}
	blas64.Gemm(blas.NoTrans, blas.Trans, s.pr.scale, j.RawMatrix(), d.j.RawMatrix(), 0, g)
	if s.pr.v != nil {
		var jv mat.Dense
		jv.Mul(j, s.pr.v)
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

// shareSparse does so for the sparse rows of a thinned survey.
func (s *study) shareSparse(d *fitDetail) {
	same, all := s.unchangedRows(d)
	if all {
		return
	}
	m := len(d.rows)
	if d.jv != nil {
		inPairs(m, func(i int) {
			if !same[i] {
				s.taughtRow(d, i)
			}
		})
	}
	beside(func(w int) {
		wide := make([]float64, s.n)
		for i := w; i < m; i += workers {
			s.shareRow(d, same, i, wide)
		}
	})
}

// unchangedRows says which rows are those that d.shared was worked out with,
// taken over from the fit's last step or from the one it grew from, and
// whether all are.
func (s *study) unchangedRows(d *fitDetail) (same []bool, all bool) {
	m := len(d.rows)
	same = make([]bool, m)
	from := d
	if d.shared == nil {
		from = s.ref
	}
	if from == nil || from.shared == nil || len(from.sharedRows) != m {
		d.shared = make([]float64, m*m)
		if s.pr.v != nil {
			_, k := s.pr.v.Dims()
			d.jv = mat.NewDense(m, k, nil)
		}
		d.sharedRows = d.rows
		return same, false
	}
	if from != d {
		d.shared = append([]float64(nil), from.shared...)
		if from.jv != nil {
			d.jv = mat.DenseCopyOf(from.jv)
		}
	}
	all = true
	for i := range same {
		a, b := d.rows[i].v, from.sharedRows[i].v
		same[i] = len(a) == len(b) && len(a) > 0 && &a[0] == &b[0]
		all = all && same[i]
	}
	d.sharedRows = d.rows
	return same, all
}

// taughtRow is a row of J·V.
func (s *study) taughtRow(d *fitDetail, i int) {
	out := d.jv.RawRowView(i)
	clear(out)
	for e, x := range d.rows[i].ix {
		blas64.Axpy(d.rows[i].v[e], vector(s.pr.v.RawRowView(int(x))), vector(out))
	}
}

func vector(x []float64) blas64.Vector { return blas64.Vector{N: len(x), Inc: 1, Data: x} }

// shareRow is what row i shares with itself and those after it.
func (s *study) shareRow(d *fitDetail, same []bool, i int, wide []float64) {
	m := len(d.rows)
	for k, x := range d.rows[i].ix {
		wide[x] = s.pr.scale * d.rows[i].v[k]
	}
	for j := i; j < m; j++ {
		if same[i] && same[j] {
			continue
		}
		var sum float64
		v := d.rows[j].v
		for k, x := range d.rows[j].ix {
			sum += v[k] * wide[x]
		}
		if d.jv != nil {
			sum -= blas64.Dot(vector(d.jv.RawRowView(i)), vector(d.jv.RawRowView(j)))
		}
		d.shared[i*m+j] = sum
	}
	for _, x := range d.rows[i].ix {
		wide[x] = 0
	}
}

// refine solves S α = r by conjugate gradients, with S as it is and the factor
// of one near it: exact but for rounding, and far cheaper than S itself where
// a baseline has taught much. False if they don't get there soon.
func (s *study) refine(f *fitted, d *fitDetail) bool {
	m := len(s.obs)
	rest := mat.VecDenseCopyOf(mat.NewVecDense(m, d.r))
	z, p := mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
	d.alpha.Zero()
	var first, old float64
	for range refineMost {
		if !solved(d.chol.SolveVecTo(z, rest)) {
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
		d.alpha.AddScaledVec(d.alpha, by, p)
		rest.AddScaledVec(rest, -by, q)
		old = now
	}
	return false
}

const (
	refineMost = 40   // steps; a factor of S costs as much
	refined    = 1e-6 // of the misfit that may be left
)

// timesS is S·x, without S.
func (s *study) timesS(f *fitted, d *fitDetail, x *mat.VecDense) *mat.VecDense {
	out, t := mat.NewVecDense(len(s.obs), nil), mat.NewVecDense(s.n, nil)
	t.MulVec(d.j.T(), x)
	out.MulVec(d.j, s.cov(t))
	for k, v := range f.faults {
		sd := severities[v.kind].sd
		col := d.jz.ColView(k)
		out.AddScaledVec(out, sd*sd*mat.Dot(col, x), col)
	}
	for i, v := range d.noise {
		out.SetVec(i, out.AtVec(i)+v*s.rough*s.rough*x.AtVec(i))
	}
	return out
}
