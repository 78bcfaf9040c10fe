package numeric

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// Cholesky is S = Uᵀ U. Unlike mat.Cholesky it factors in place and estimates
// no condition number, which for a vector or two costs more than the solving.
type Cholesky struct {
	u blas64.Triangular
	p *patched // in its place
}

// Room is a matrix to be filled and then factored; its storage is what the
// last one left.
func (c *Cholesky) Room(n int) *mat.SymDense {
	c.p = nil
	if c.u.N != n {
		c.u = blas64.Triangular{N: n, Stride: n, Uplo: blas.Upper, Diag: blas.NonUnit, Data: make([]float64, n*n)}
	}
	return mat.NewSymDense(n, c.u.Data)
}

// Factorize factors s in its own storage; false if it is not positive definite.
func (c *Cholesky) Factorize(s *mat.SymDense) bool {
	t, ok := lapack64.Potrf(s.RawSymmetric())
	c.u = t
	if ok {
		for i := range c.u.N {
			if d := c.at(i); math.IsNaN(d) || math.IsInf(d, 0) {
				return false
			}
		}
	}
	return ok
}

func (c *Cholesky) at(i int) float64 { return c.u.Data[i*c.u.Stride+i] }

// LogDet is ln |S|.
func (c *Cholesky) LogDet() float64 {
	if c.p != nil {
		return c.p.det
	}
	var d float64
	for i := range c.u.N {
		d += 2 * math.Log(c.at(i))
	}
	return d
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

// Whiten sets b to U⁻ᵀ b, so that bᵀ S⁻¹ b is its product with itself.
func (c *Cholesky) Whiten(b *mat.Dense) {
	blas64.Trsm(blas.Left, blas.Trans, 1, c.u, b.RawMatrix())
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

// squares are the squares of the lengths of columns.
func squares(b *mat.Dense) []float64 {
	m, n := b.Dims()
	out := make([]float64, n)
	for i := range m {
		for k, v := range b.RawRowView(i) {
			out[k] += v * v
		}
	}
	return out
}

// InverseTo sets dst to S⁻¹.
func (c *Cholesky) InverseTo(dst *mat.SymDense) error {
	n, s := c.u.N, c.u.Stride
	t := c.u
	t.Data = make([]float64, n*n)
	for i := range n {
		copy(t.Data[i*n+i:(i+1)*n], c.u.Data[i*s+i:i*s+n])
	}
	t.Stride = n
	lapack64.Potri(t)
	*dst = *mat.NewSymDense(n, t.Data)
	return nil
}

// LTo sets dst to Uᵀ.
func (c *Cholesky) LTo(dst *mat.TriDense) {
	n := c.u.N
	*dst = *mat.NewTriDense(n, mat.Lower, nil)
	for i := range n {
		for k := i; k < n; k++ {
			dst.SetTri(k, i, c.u.Data[i*c.u.Stride+k])
		}
	}
}

// Solved reports whether a solve gave a result; gonum warns of a large
// condition number beside a good one, which rows set aside bring about.
func Solved(err error) bool {
	var c mat.Condition
	return err == nil || errors.As(err, &c)
}

// LogSumExp is ln Σ exp x; −∞ of none.
func LogSumExp(x []float64) float64 {
	if len(x) == 0 {
		return math.Inf(-1)
	}
	return floats.LogSumExp(x)
}

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
