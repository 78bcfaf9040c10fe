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

// patched is the factor of a covariance of Patches. Each v is first whitened by D, so
// that S is I + W Wᵀ − H Hᵀ there.
type patched struct {
	n     int
	root  []float64 // 1 over the root of the diagonal, of what is in no block; 0 elsewhere
	at    [][]int
	block []Cholesky
	w     *mat.Dense // D^-½ F
	plus  Cholesky   // of I + WᵀW
	g     *mat.Dense // A⁻¹ G, with A = D + F Fᵀ
	minus Cholesky   // of I − GᵀA⁻¹G
	det   float64    // ln |S|
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

// Whiten sets b to U⁻ᵀ b, so that bᵀ S⁻¹ b is its product with itself.
func (c *Cholesky) Whiten(b *mat.Dense) {
	blas64.Trsm(blas.Left, blas.Trans, 1, c.u, b.RawMatrix())
}

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

// InverseTo sets dst to S⁻¹. A factor of patches has none.
func (c *Cholesky) InverseTo(dst *mat.SymDense) error {
	if c.p != nil {
		return errPatches
	}
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

var errPatches = errors.New("a covariance of patches is not inverted as a whole")

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
