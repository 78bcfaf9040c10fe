package numeric_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/numeric"
)

// random is a matrix of random numbers of such a size.
func random(r *rand.Rand, rows, cols int, by float64) *mat.Dense {
	m := mat.NewDense(rows, cols, nil)
	for i := range rows {
		for j := range cols {
			m.Set(i, j, by*r.NormFloat64())
		}
	}
	return m
}

// A covariance of patches is solved as the same covariance in full.
func TestPatches(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const n = 30
	square := func(a *mat.Dense) *mat.SymDense {
		var s mat.SymDense
		s.SymOuterK(1, a)
		return &s
	}
	p := numeric.Patches{Diag: make([]float64, n), At: [][]int{{3, 1, 7, 20}, {2, 5, 29}}, Plus: random(r, n, 4, 3)}
	for i := range p.Diag {
		p.Diag[i] = 0.5 + r.Float64()
	}
	p.Block = []*mat.SymDense{square(random(r, 4, 9, 1)), square(random(r, 3, 2, 1))}
	for _, minus := range []*mat.Dense{nil, random(r, n, 2, 0.1)} {
		p.Minus = minus
		full := square(p.Plus)
		for i, v := range p.Diag {
			full.SetSym(i, i, full.At(i, i)+v)
		}
		for k, list := range p.At {
			for a, i := range list {
				for b, j := range list[a:] {
					full.SetSym(i, j, full.At(i, j)+p.Block[k].At(a, a+b))
				}
			}
		}
		if minus != nil {
			for x := range 2 {
				full.SymRankOne(full, -1, minus.ColView(x))
			}
		}
		var got, want numeric.Cholesky
		require.True(t, got.FactorizePatches(p))
		require.Error(t, got.InverseTo(&mat.SymDense{}))
		room := want.Room(n)
		room.CopySym(full)
		require.True(t, want.Factorize(room))
		require.InDelta(t, want.LogDet(), got.LogDet(), 1e-10)
		v, a, b := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
		v.SetVec(1, 1.5)
		v.SetVec(11, -2)
		require.NoError(t, got.SolveVecTo(a, v))
		require.NoError(t, want.SolveVecTo(b, v))
		for i := range n {
			require.InDelta(t, b.AtVec(i), a.AtVec(i), 1e-10)
		}
		require.InDelta(t, numeric.SolveDot(&want, v), numeric.SolveDot(&got, v), 1e-10)
		cols := random(r, n, 3, 1)
		require.InDeltaSlice(t, want.Sizes(cols), got.Sizes(cols), 1e-10)
	}
	p.Diag[4] = -1
	var c numeric.Cholesky
	require.False(t, c.FactorizePatches(p))
}

// Columns that do so many times the same outside their block have the sizes that any
// columns have; those that do not, and those of no group, are left to Sizes.
func TestSizesApart(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	const n, cols = 24, 11
	kind, least := make([]int, n), make([]float64, n)
	for i := range kind {
		kind[i], least[i] = i%3, 1e-9
	}
	p := numeric.Patches{Diag: make([]float64, n), At: [][]int{{3, 1, 7, 20}, {2, 5, 23}}, Plus: random(r, n, 4, 3)}
	for i := range p.Diag {
		p.Diag[i] = 0.5 + r.Float64()
	}
	for _, list := range p.At {
		var s mat.SymDense
		s.SymOuterK(1, random(r, len(list), 9, 1))
		p.Block = append(p.Block, &s)
	}
	b := mat.NewDense(n, cols, nil)
	groups := []numeric.Apart{{Cols: []int{0, 4, 2, 5}, Block: 0}, {Cols: []int{1, 3}, Block: 1}, {Cols: []int{6, 7, 8}, Block: -1}, {Block: 1}}
	for _, g := range groups {
		same := random(r, n, 1, 1)
		for _, x := range g.Cols {
			by := []float64{r.NormFloat64(), r.NormFloat64(), 0}
			for i := range n {
				b.Set(i, x, by[kind[i]]*same.At(i, 0))
			}
			if g.Block >= 0 {
				for _, i := range p.At[g.Block] {
					b.Set(i, x, r.NormFloat64())
				}
			}
		}
	}
	for i := range n { // small, so that it is no pattern for the others
		b.Set(i, 5, b.At(i, 5)/100)
		b.Set(i, 7, b.At(i, 7)/100)
	}
	b.Set(6, 5, b.At(6, 5)+1e-7) // not as its group says
	b.Set(4, 7, b.At(4, 7)+1e-7)
	for i := range n {
		b.Set(i, 10, r.NormFloat64())
	}
	for _, minus := range []*mat.Dense{nil, random(r, n, 2, 0.05)} {
		p.Minus = minus
		var c numeric.Cholesky
		require.True(t, c.FactorizePatches(p))
		want := c.Sizes(b)
		for k, v := range c.SizesApart(b, groups, kind, least) {
			if k == 5 || k == 7 || k >= 9 {
				require.True(t, math.IsNaN(v), "column %d", k)
			} else {
				require.InDelta(t, want[k], v, 1e-9, "column %d", k)
			}
		}
	}
	plain := numeric.Cholesky{}
	room := plain.Room(n)
	for i := range n {
		room.SetSym(i, i, p.Diag[i])
	}
	require.True(t, plain.Factorize(room))
	for _, v := range plain.SizesApart(b, groups, kind, least) {
		require.True(t, math.IsNaN(v), "there are no patches")
	}
}
