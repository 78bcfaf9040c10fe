package branch

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/numeric"
)

// Shared is what the rows share, J Jᵀ, to the upper half of to.
func (r *Rows) Shared(to []float64) {
	m := len(r.own)
	f := r.Factors()
	blas64.Syrk(blas.NoTrans, 1, f.All.RawMatrix(), 0, blas64.Symmetric{N: m, Stride: m, Data: to, Uplo: blas.Upper})
	for k, list := range f.Inside {
		for a, i := range list {
			for b := a; b < len(list); b++ {
				to[i*m+list[b]] += f.Rest[k].At(a, b)
			}
		}
	}
}

// Factors are J Jᵀ as F Fᵀ with what the observations of one branch share beside it.
type Factors struct {
	All    *mat.Dense
	Inside [][]int         // observations of each branch, in order
	Rest   []*mat.SymDense // and what they share beside it
}

// tooLittle is the share of an error by which what a branch does elsewhere may
// be off, and is left out.
const tooLittle = 1e-4

// byRounding is the share of the largest below which a direction is rounding.
const byRounding = 1e-12

// Factors works them out, without the factor on the spread.
func (r *Rows) Factors() *Factors {
	m, b := len(r.own), r.b
	f := &Factors{Inside: make([][]int, b.n), Rest: make([]*mat.SymDense, b.n)}
	for i, at := range r.at {
		if at >= 0 {
			f.Inside[at] = append(f.Inside[at], i)
		}
	}
	parts := make([]*mat.Dense, b.n)
	numeric.ForEach(b.n, func(k int) { parts[k], f.Rest[k] = r.branch(k, f.Inside[k]) })
	at, wide := r.columns()
	first := wide
	for _, p := range parts {
		_, w := p.Dims()
		wide += w
	}
	f.All = mat.NewDense(m, wide, nil)
	for i := range r.own {
		to := f.All.RawRowView(i)
		for k, x := range r.own[i].ix {
			if at[x] >= 0 {
				to[at[x]] = r.own[i].v[k]
			}
		}
		c := first
		for _, p := range parts {
			c += copy(to[c:], p.RawRowView(i))
		}
	}
	return f
}

// columns are where parameters of the whole stand in F, -1: nowhere, and how many do.
func (r *Rows) columns() ([]int, int) {
	at, n := slices.Repeat([]int{-1}, len(r.b.param)), 0
	for _, row := range r.own {
		for _, x := range row.ix {
			if r.b.param[x] < 0 && at[x] < 0 {
				at[x] = n
				n++
			}
		}
	}
	return at, n
}

// branch is the share of F that a branch has, and what its own observations
// share beside it.
func (r *Rows) branch(k int, inside []int) (*mat.Dense, *mat.SymDense) {
	list := r.b.params[k]
	weight := make([]float64, len(r.tau)) // of tau, in errors of the reading that it moves most
	for i, c := range r.cfg {
		weight[c] = max(weight[c], math.Abs(r.far.At(i, k))/r.sd[i])
	}
	a := mat.NewDense(len(r.tau), max(len(list), 1), nil)
	for c, tau := range r.tau {
		to := a.RawRowView(c)
		for e, x := range list {
			to[e] = weight[c] * tau[x]
		}
	}
	u, l := directions(a)
	_, w := l.Dims()
	f := mat.NewDense(len(r.own), w, nil)
	for i, c := range r.cfg {
		if weight[c] != 0 {
			floats.AddScaled(f.RawRowView(i), r.far.At(i, k)/weight[c], l.RawRowView(int(c)))
		}
	}
	if len(inside) == 0 {
		return f, mat.NewSymDense(1, nil)
	}
	own := r.ownOf(inside, list)
	rest := mat.NewSymDense(len(inside), nil)
	rest.SymOuterK(1, own)
	var on mat.Dense
	on.Mul(own, u)
	blas64.Syrk(blas.NoTrans, -1, on.RawMatrix(), 1, rest.RawSymmetric())
	for n, i := range inside {
		copy(f.RawRowView(i), on.RawRowView(n))
	}
	return f, rest
}

// ownOf are the derivatives of some observations by some parameters of their branch.
func (r *Rows) ownOf(inside []int, list []int32) *mat.Dense {
	place := slices.Repeat([]int32{-1}, len(r.b.param))
	for e, x := range list {
		place[x] = int32(e)
	}
	own := mat.NewDense(len(inside), max(len(list), 1), nil)
	for n, i := range inside {
		to, row := own.RawRowView(n), &r.own[i]
		for e, x := range row.ix {
			if p := place[x]; p >= 0 {
				to[p] = row.v[e]
			}
		}
	}
	return own
}

// largest are the eigenvectors of a times its transpose, and their values, of which
// the others are too small to count.
func largest(a mat.Matrix) (mat.Matrix, []float64) {
	rows, _ := a.Dims()
	g := mat.NewSymDense(rows, nil)
	g.SymOuterK(1, a)
	var e mat.EigenSym
	if !e.Factorize(g, true) {
		e.Factorize(mat.NewSymDense(rows, nil), true)
	}
	val := e.Values(nil)
	var vec mat.Dense
	e.VectorsTo(&vec)
	from := len(val)
	for from > 0 && val[from-1] > max(tooLittle*tooLittle, byRounding*val[len(val)-1]) {
		from--
	}
	if from == len(val) {
		return nil, nil
	}
	return vec.Slice(0, rows, from, len(val)), val[from:]
}

// directions are few orthonormal directions u such that the rows of a are those
// of l times them.
func directions(a *mat.Dense) (u, l *mat.Dense) {
	rows, n := a.Dims()
	if n < rows { // the same directions, from the smaller of the two products
		if keep, val := largest(a.T()); len(val) > 0 {
			u, l = mat.DenseCopyOf(keep), mat.NewDense(rows, len(val), nil)
			l.Mul(a, u)
			return u, l
		}
		return mat.NewDense(n, 1, nil), mat.NewDense(rows, 1, nil)
	}
	keep, val := largest(a)
	w := len(val)
	if w == 0 {
		return mat.NewDense(n, 1, nil), mat.NewDense(rows, 1, nil)
	}
	u, l = mat.NewDense(n, w, nil), mat.NewDense(rows, w, nil)
	u.Mul(a.T(), keep)
	for k := range w {
		root := math.Sqrt(val[k])
		for x := range n {
			u.Set(x, k, u.At(x, k)/root)
		}
		for c := range rows {
			l.Set(c, k, keep.At(c, k)*root)
		}
	}
	return u, l
}
