package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
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
		s.shareSparse(d)
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

// shareSparse does so for the sparse rows of a thinned survey.
func (s *Study) shareSparse(d *Detail) {
	same, all := s.unchangedRows(d)
	if all {
		return
	}
	m := len(d.Rows)
	if d.jv != nil {
		numeric.ForEach(m, func(i int) {
			if !same[i] {
				s.taughtRow(d, i)
			}
		})
	}
	c := columnsOf(d.Rows, s.N)
	var changed []int
	for i := range m {
		if !same[i] {
			changed = append(changed, i)
		}
	}
	parts := slices.Collect(slices.Chunk(changed, sharedAtOnce))
	numeric.ForEach(len(parts), func(p int) {
		rows := parts[p]
		from := 0
		if len(changed) == m { // what they share with rows before them comes with those
			from = rows[0]
		}
		sum := s.shareRows(d, c, rows, from)
		for k, i := range rows {
			for j := from; j < m; j++ {
				if j >= i || same[j] {
					d.shared[min(i, j)*m+max(i, j)] = sum.At(k, j-from)
				}
			}
		}
	})
}

// sharedAtOnce is how many rows are worked out at once: few enough for the
// products to stay in the cache.
const sharedAtOnce = 64

// unchangedRows says which rows are those that d.shared was worked out with,
// taken over from the fit's last step or from the one it grew from, and
// whether all are.
func (s *Study) unchangedRows(d *Detail) (same []bool, all bool) {
	m := len(d.Rows)
	same = make([]bool, m)
	from := d
	if d.shared == nil {
		from = s.Ref
	}
	if from == nil || from.shared == nil || len(from.sharedRows) != m {
		d.shared = make([]float64, m*m)
		if s.Pr.V != nil {
			_, k := s.Pr.V.Dims()
			d.jv = mat.NewDense(m, k, nil)
		}
		d.sharedRows = d.Rows
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
		a, b := d.Rows[i].v, from.sharedRows[i].v
		same[i] = len(a) == len(b) && len(a) > 0 && &a[0] == &b[0]
		all = all && same[i]
	}
	d.sharedRows = d.Rows
	return same, all
}

// taughtRow is a row of J·V.
func (s *Study) taughtRow(d *Detail, i int) {
	out := d.jv.RawRowView(i)
	clear(out)
	for e, x := range d.Rows[i].ix {
		blas64.Axpy(d.Rows[i].v[e], numeric.Vector(s.Pr.V.RawRowView(int(x))), numeric.Vector(out))
	}
}

// shareRows is what some rows share with those from one on.
func (s *Study) shareRows(d *Detail, c *columns, rows []int, from int) *mat.Dense {
	m := len(d.Rows)
	sum := mat.NewDense(len(rows), m-from, nil)
	blas64.Gemm(blas.NoTrans, blas.Trans, s.Pr.Scale, pick(c.full, rows).RawMatrix(), c.full.Slice(from, m, 0, c.wide()).(*mat.Dense).RawMatrix(), 0, sum.RawMatrix())
	if d.jv != nil {
		_, k := d.jv.Dims()
		blas64.Gemm(blas.NoTrans, blas.Trans, -1, pick(d.jv, rows).RawMatrix(), d.jv.Slice(from, m, 0, k).(*mat.Dense).RawMatrix(), 1, sum.RawMatrix())
	}
	for k, i := range rows {
		out := sum.RawRowView(k)
		for n, x := range d.Rows[i].ix {
			v := s.Pr.Scale * d.Rows[i].v[n]
			for _, e := range c.few[x] {
				if int(e.row) >= from {
					out[int(e.row)-from] += v * e.v
				}
			}
		}
	}
	return sum
}

// columns are sparse rows by their columns: the fan, a family or a law stands in
// nearly all rows, a duct of a plant in few.
type columns struct {
	full *mat.Dense // those that many rows have, and a column of zeros
	few  [][]entry  // by column, of the rest
}

type entry struct {
	row int32
	v   float64
}

// fullFrom is the share of the rows that a column must stand in to be kept full.
const fullFrom = 0.25

func (c *columns) wide() int { _, n := c.full.Dims(); return n }

func columnsOf(rows []Sparse, n int) *columns {
	many := make([]int, n)
	for i := range rows {
		for _, x := range rows[i].ix {
			many[x]++
		}
	}
	c, at, wide, total := &columns{few: make([][]entry, n)}, make([]int, n), 0, 0
	for x, k := range many {
		if at[x] = -1; float64(k) >= fullFrom*float64(len(rows)) {
			at[x] = wide
			wide++
		} else {
			total += k
		}
	}
	room := make([]entry, total)
	for x, k := range many {
		if at[x] < 0 {
			c.few[x], room = room[:0:k], room[k:]
		}
	}
	c.full = mat.NewDense(len(rows), wide+1, nil)
	for i := range rows {
		for k, x := range rows[i].ix {
			if v := rows[i].v[k]; at[x] >= 0 {
				c.full.Set(i, at[x], v)
			} else {
				c.few[x] = append(c.few[x], entry{int32(i), v})
			}
		}
	}
	return c
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
		if !numeric.Solved(d.solver().SolveVecTo(z, rest)) {
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

// timesS is S·x, without S.
func (s *Study) timesS(f *Fit, d *Detail, x *mat.VecDense) *mat.VecDense {
	out, t := mat.NewVecDense(len(s.Observation), nil), mat.NewVecDense(s.N, nil)
	if d.Rows == nil {
		t.MulVec(d.J.T(), x)
		out.MulVec(d.J, s.Cov(t))
	} else {
		t = s.Cov(d.backOf(x, s.N))
		for i := range d.Rows {
			out.SetVec(i, d.Times(i, t.RawVector().Data))
		}
	}
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
