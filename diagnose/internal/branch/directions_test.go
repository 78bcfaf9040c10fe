package branch

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// Directions are orthonormal and give a matrix back, be it tall, wide, of a lower rank
// or nothing, and no more of them are there than its rank.
func TestDirections(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, c := range []struct{ rows, n, rank int }{{1, 1, 1}, {3, 8, 3}, {8, 3, 3}, {40, 6, 2}, {6, 40, 2}, {7, 7, 7}, {9, 4, 0}, {4, 9, 0}} {
		a := mat.NewDense(c.rows, c.n, nil)
		for range c.rank {
			x, y := mat.NewVecDense(c.rows, nil), mat.NewVecDense(c.n, nil)
			for i := range c.rows {
				x.SetVec(i, r.NormFloat64())
			}
			for i := range c.n {
				y.SetVec(i, r.NormFloat64())
			}
			var outer mat.Dense
			outer.Outer(1, x, y)
			a.Add(a, &outer)
		}
		u, l := directions(a)
		_, w := u.Dims()
		require.Equal(t, max(c.rank, 1), w, "%v", c)
		var back, gram mat.Dense
		back.Mul(l, u.T())
		require.True(t, mat.EqualApprox(a, &back, 1e-6), "%v", c)
		if c.rank > 0 {
			gram.Mul(u.T(), u)
			one := mat.NewDiagDense(w, nil)
			for i := range w {
				one.SetDiag(i, 1)
			}
			require.True(t, mat.EqualApprox(one, &gram, 1e-6), "%v", c)
		}
	}
}
