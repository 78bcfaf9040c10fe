package airflow

import (
	"math"
	"math/rand/v2"
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
		for range 4 {
			c := perturbed(r, m)
			require.NoError(t, s.Solve(&c, cfg), "seed %d", seed)
			exact := m.NewState()
			require.NoError(t, exact.Solve(&c, cfg), "seed %d", seed)
			for _, p := range allProbes(m) {
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
