package numeric_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/numeric"
)

// A covariance of patches is solved as the same covariance in full.
func TestPatches(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const n = 30
	random := func(rows, cols int, by float64) *mat.Dense {
		m := mat.NewDense(rows, cols, nil)
		for i := range rows {
			for j := range cols {
				m.Set(i, j, by*r.NormFloat64())
			}
		}
		return m
	}
	square := func(a *mat.Dense) *mat.SymDense {
		var s mat.SymDense
		s.SymOuterK(1, a)
		return &s
	}
	p := numeric.Patches{Diag: make([]float64, n), At: [][]int{{3, 1, 7, 20}, {2, 5, 29}}, Plus: random(n, 4, 3)}
	for i := range p.Diag {
		p.Diag[i] = 0.5 + r.Float64()
	}
	p.Block = []*mat.SymDense{square(random(4, 9, 1)), square(random(3, 2, 1))}
	for _, minus := range []*mat.Dense{nil, random(n, 2, 0.1)} {
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
		cols := random(n, 3, 1)
		require.InDeltaSlice(t, want.Sizes(cols), got.Sizes(cols), 1e-10)
	}
	p.Diag[4] = -1
	var c numeric.Cholesky
	require.False(t, c.FactorizePatches(p))
}
