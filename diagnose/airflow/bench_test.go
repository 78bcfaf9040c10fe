package airflow

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// One adjoint sweep gives a reading's derivatives by every coefficient.
func BenchmarkSensitivity(b *testing.B) {
	for _, n := range []int{10, 100, 1000, 10000} {
		b.Run(fmt.Sprintf("ducts=%d", n), func(b *testing.B) {
			m, err := New(plant(rand.New(rand.NewPCG(1, 1)), n), Options{})
			require.NoError(b, err)
			c := m.Coefs()
			s := m.NewState()
			cfg, err := m.Configure(true, nil, nil)
			require.NoError(b, err)
			require.NoError(b, s.Solve(&c, cfg))
			s.Prepare()
			probe := allProbes(m)[0]
			g := m.NewGradient()
			b.ReportAllocs()
			for b.Loop() {
				s.Sensitivity(probe, g)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/duct")
		})
	}
}
