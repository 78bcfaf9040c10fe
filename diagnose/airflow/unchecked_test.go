package airflow

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// A solve that leaves out the last sweep is as near the balance as a reading
// can tell, warm from whatever stood before, and its readings are those of one
// that does not.
func TestUncheckedIsNear(t *testing.T) {
	var left, off float64
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 3))
		m, err := New(plant(r, 3+r.IntN(60)), Options{Join: Join(seed % 2)})
		require.NoError(t, err)
		cfg := randomConfig(r, m)
		s := m.NewState()
		s.Unchecked = true
		probes := allProbes(m)
		for range 4 {
			c := perturbed(r, m)
			require.NoError(t, s.Solve(&c, cfg), "seed %d", seed)
			exact := m.NewState()
			require.NoError(t, exact.Solve(&c, cfg), "seed %d", seed)
			for _, p := range probes {
				want := exact.Value(p)
				off = max(off, math.Abs(s.Value(p)-want)/max(math.Abs(want), 1)) // or of 1 Pa, 1 m/s
			}
			left = max(left, s.up(nil))
		}
	}
	t.Logf("residual up to %.1e, readings off by up to %.1e", left, off)
	require.Less(t, left, 1e-7)
	require.Less(t, off, 1e-5)
	require.Greater(t, left, balance, "some are left out")
}

// What starts from the solution of a model that differs little comes to the
// solution that it comes to from nothing.
func TestStartFrom(t *testing.T) {
	for seed := range uint64(50) {
		r := rand.New(rand.NewPCG(seed, 9))
		sys := plant(r, 3+r.IntN(40))
		m, err := New(sys, Options{})
		require.NoError(t, err)
		cfg := randomConfig(r, m)
		c := m.Coefs()
		near := m.NewState()
		require.NoError(t, near.Solve(&c, cfg))

		other := *sys
		other.Ducts = slices.Clone(sys.Ducts)
		other.Ducts[r.IntN(len(other.Ducts))].Diameter *= 1.2
		m2, err := New(&other, Options{})
		require.NoError(t, err)
		c2 := m2.Coefs()
		cold, warm := m2.NewState(), m2.NewState()
		warm.StartFrom(near)
		require.NoError(t, cold.Solve(&c2, cfg))
		require.NoError(t, warm.Solve(&c2, cfg))
		for x := range cold.Q {
			require.InDelta(t, cold.Q[x], warm.Q[x], 1e-8*math.Abs(cold.Q[0]), "seed %d", seed)
			require.InDelta(t, cold.P[x], warm.P[x], 1e-5, "seed %d", seed)
		}
	}
}
