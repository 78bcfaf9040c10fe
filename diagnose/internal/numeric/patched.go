package numeric

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Patches are a covariance S = D + F Fᵀ − G Gᵀ of n quantities: D is a diagonal
// with blocks on it.
type Patches struct {
	Diag  []float64       // of all n
	At    [][]int         // which quantities are of a block
	Block []*mat.SymDense // and what they have beside the diagonal
	Plus  *mat.Dense      // F, n × k
	Minus *mat.Dense      // G, n × k; may be nil
}

// FactorizePatches factors a covariance of patches; false if it is not positive
// definite. Of what Cholesky does it leaves out Whiten and LTo, and InverseTo gives an error.
func (c *Cholesky) FactorizePatches(p Patches) bool {
	c.u = blas64.Triangular{}
	c.p = &patched{n: len(p.Diag), root: make([]float64, len(p.Diag)), at: p.At, block: make([]Cholesky, len(p.At))}
	return c.p.factorize(p) && !math.IsNaN(c.p.det) && !math.IsInf(c.p.det, 0)
}

func (c *patched) factorize(p Patches) bool {
	for i, v := range p.Diag {
		if !(v > 0) {
			return false
		}
		c.root[i] = 1 / math.Sqrt(v)
		c.det += math.Log(v)
	}
	bad := make([]bool, len(p.At))
	ForEach(len(p.At), func(k int) {
		s := c.block[k].Room(len(p.At[k]))
		s.CopySym(p.Block[k])
		for a, i := range p.At[k] {
			s.SetSym(a, a, s.At(a, a)+p.Diag[i])
		}
		bad[k] = !c.block[k].Factorize(s)
	})
	for k, list := range p.At {
		if bad[k] {
			return false
		}
		c.det += c.block[k].LogDet()
		for _, i := range list {
			c.det -= math.Log(p.Diag[i])
			c.root[i] = 0
		}
	}
	c.w = mat.DenseCopyOf(p.Plus)
	c.whiten(c.w, false)
	if !c.plus.identity(c.w) {
		return false
	}
	c.det += c.plus.LogDet()
	if p.Minus == nil {
		return true
	}
	white := mat.DenseCopyOf(p.Minus)
	c.whiten(white, false)
	_, k := c.w.Dims()
	_, n := white.Dims()
	on := mat.NewDense(k, n, nil)
	on.Mul(c.w.T(), white)
	c.plus.Whiten(on)
	s := c.minus.Room(n)
	s.Zero()
	blas64.Syrk(blas.Trans, -1, white.RawMatrix(), 0, s.RawSymmetric())
	blas64.Syrk(blas.Trans, 1, on.RawMatrix(), 1, s.RawSymmetric())
	for i := range n {
		s.SetSym(i, i, s.At(i, i)+1)
	}
	if !c.minus.Factorize(s) {
		return false
	}
	c.det += c.minus.LogDet()
	g := mat.NewDense(c.n, n, nil)
	col, to := mat.NewVecDense(c.n, nil), mat.NewVecDense(c.n, nil)
	for x := range n {
		col.CopyVec(p.Minus.ColView(x))
		c.without(to, col)
		g.SetCol(x, to.RawVector().Data)
	}
	c.g = g
	return true
}

// identity factors I + WᵀW.
func (c *Cholesky) identity(w *mat.Dense) bool {
	_, k := w.Dims()
	s := c.Room(k)
	blas64.Syrk(blas.NoTrans, 1, mat.DenseCopyOf(w.T()).RawMatrix(), 0, s.RawSymmetric()) // by rows: far quicker
	for i := range k {
		s.SetSym(i, i, s.At(i, i)+1)
	}
	return c.Factorize(s)
}

// SolveVecTo sets dst to S⁻¹ v.
func (c *Cholesky) SolveVecTo(dst, v *mat.VecDense) error {
	if c.p != nil {
		c.p.solveTo(dst, v)
		return nil
	}
	dst.CopyVec(v)
	x := dst.RawVector()
	blas64.Trsv(blas.Trans, c.u, x)
	blas64.Trsv(blas.NoTrans, c.u, x)
	return nil
}

// Sizes are vᵀ S⁻¹ v of the columns of b.
func (c *Cholesky) Sizes(b *mat.Dense) []float64 {
	m, n := b.Dims()
	out := make([]float64, 0, n)
	for from := 0; from < n; from += sizesAtOnce {
		part := mat.DenseCopyOf(b.Slice(0, m, from, min(from+sizesAtOnce, n)))
		if c.p != nil {
			out = append(out, c.p.sizes(part)...)
			continue
		}
		c.Whiten(part)
		out = append(out, squares(part)...)
	}
	return out
}

// sizesAtOnce is how many columns are worked out at once: a plant has thousands.
const sizesAtOnce = 512

// SolveDot is vᵀ S⁻¹ v.
func SolveDot(c *Cholesky, v mat.Vector) float64 {
	x := blas64.Vector{N: v.Len(), Inc: 1, Data: make([]float64, v.Len())}
	for i := range x.Data {
		x.Data[i] = v.AtVec(i)
	}
	if c.p != nil {
		return c.p.dot(x.Data)
	}
	blas64.Trsv(blas.Trans, c.u, x)
	return blas64.Dot(x, x)
}

// whiten sets b to D^-½ b; back to D^-½ᵀ b.
func (c *patched) whiten(b *mat.Dense, back bool) {
	_, n := b.Dims()
	for i, r := range c.root {
		if r != 0 {
			blas64.Scal(r, Vector(b.RawRowView(i)))
		}
	}
	ForEach(len(c.at), func(k int) {
		part := mat.NewDense(len(c.at[k]), n, nil)
		for a, i := range c.at[k] {
			copy(part.RawRowView(a), b.RawRowView(i))
		}
		blas64.Trsm(blas.Left, wayOf(back), 1, c.block[k].u, part.RawMatrix())
		for a, i := range c.at[k] {
			copy(b.RawRowView(i), part.RawRowView(a))
		}
	})
}

// wayOf is how a factor of a block is solved with, there or back.
func wayOf(back bool) blas.Transpose {
	if back {
		return blas.NoTrans
	}
	return blas.Trans
}

// sizes are vᵀ S⁻¹ v of the columns of b, which is lost.
func (c *patched) sizes(b *mat.Dense) []float64 {
	var more []float64
	if c.g != nil {
		var s mat.Dense
		s.Mul(c.g.T(), b)
		c.minus.Whiten(&s)
		more = squares(&s)
	}
	c.whiten(b, false)
	var on mat.Dense
	on.Mul(c.w.T(), b)
	c.plus.Whiten(&on)
	out := squares(b)
	floats.Sub(out, squares(&on))
	if more != nil {
		floats.Add(out, more)
	}
	return out
}

// half sets v to D^-½ v; back to D^-½ᵀ v. Blocks in which v is nothing are left out.
func (c *patched) half(v []float64, back bool) {
	for i, r := range c.root {
		if r != 0 {
			v[i] *= r
		}
	}
	way := wayOf(back)
	for k, list := range c.at {
		part, any := make([]float64, len(list)), false
		for a, i := range list {
			part[a] = v[i]
			any = any || v[i] != 0
		}
		if !any {
			continue
		}
		blas64.Trsv(way, c.block[k].u, Vector(part))
		for a, i := range list {
			v[i] = part[a]
		}
	}
}

// on is Wᵀ v.
func (c *patched) on(v []float64) []float64 {
	_, k := c.w.Dims()
	out := make([]float64, k)
	for i, x := range v {
		if x != 0 {
			blas64.Axpy(x, Vector(c.w.RawRowView(i)), Vector(out))
		}
	}
	return out
}

// without sets dst to A⁻¹ v.
func (c *patched) without(dst, v *mat.VecDense) {
	dst.CopyVec(v)
	x := dst.RawVector().Data
	c.half(x, false)
	s := Vector(c.on(x))
	blas64.Trsv(blas.Trans, c.plus.u, s)
	blas64.Trsv(blas.NoTrans, c.plus.u, s)
	for i := range x {
		x[i] -= blas64.Dot(Vector(c.w.RawRowView(i)), s)
	}
	c.half(x, true)
}

func (c *patched) solveTo(dst, v *mat.VecDense) {
	if c.g == nil {
		c.without(dst, v)
		return
	}
	_, n := c.g.Dims()
	s := mat.NewVecDense(n, nil)
	s.MulVec(c.g.T(), v)
	c.minus.SolveVecTo(s, s)
	c.without(dst, v)
	var more mat.VecDense
	more.MulVec(c.g, s)
	dst.AddVec(dst, &more)
}

// dot is vᵀ S⁻¹ v; v is lost.
func (c *patched) dot(v []float64) float64 {
	var more float64
	if c.g != nil {
		_, n := c.g.Dims()
		s := mat.NewVecDense(n, nil)
		s.MulVec(c.g.T(), mat.NewVecDense(len(v), v))
		more = SolveDot(&c.minus, s)
	}
	c.half(v, false)
	s := Vector(c.on(v))
	blas64.Trsv(blas.Trans, c.plus.u, s)
	x := Vector(v)
	return blas64.Dot(x, x) - blas64.Dot(s, s) + more
}
