package verify_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/trial/plant"
	"lostair/diagnose/verify"
	"lostair/readings/units"
)

// No setting of the gates brings more air through a duct than the bound says, and
// the bound rules many out.
func TestNoSettingBringsMoreAir(t *testing.T) {
	ruledOut := 0
	for _, ports := range []int{4, 9, 20} {
		m, err := airflow.New(plant.New(3, ports, units.Metric), airflow.Options{})
		require.NoError(t, err)
		st, c := m.NewState(), m.Coefs()
		s := verify.NewSupply(m, st, &c)
		require.NotNil(t, s)
		r := rand.New(rand.NewPCG(5, uint64(ports)))
		for range 60 {
			cfg, err := m.Configure(false, nil, nil)
			require.NoError(t, err)
			for g := range cfg.Open {
				cfg.Open[g] = r.IntN(3) == 0
			}
			if st.Solve(&c, cfg) != nil {
				continue
			}
			for d := range m.Sys.Ducts {
				q := st.Value(m.ProbeDuct(d, units.FlowRate))
				require.True(t, s.Could(cfg, []int{d}, []float64{q}), "%d ports, duct %s", ports, m.Sys.Ducts[d].ID)
				if !s.Could(cfg, []int{d}, []float64{2 * math.Abs(q)}) {
					ruledOut++
				}
			}
		}
	}
	require.Greater(t, ruledOut, 1000)
	require.True(t, (*verify.Supply)(nil).Could(airflow.Config{}, nil, nil), "not known: it may be")
}

// The covariance of two quantities is a quarter of what their sum varies more
// than their difference.
func TestCovarianceOfTwoQuantities(t *testing.T) {
	s, f := kit.FitOf(t)
	some := func(n, k int) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = math.Sin(float64(k + i*(k+1)))
		}
		return out
	}
	n, nz := s.N, len(f.Faults)
	for k := range 5 {
		a, az, b, bz := some(n, k), some(nz, k+3), some(n, k+7), some(nz, k+11)
		plus, minus := make([]float64, n), make([]float64, n)
		for i := range plus {
			plus[i], minus[i] = a[i]+b[i], a[i]-b[i]
		}
		pz, mz := make([]float64, nz), make([]float64, nz)
		for i := range pz {
			pz[i], mz[i] = az[i]+bz[i], az[i]-bz[i]
		}
		want := (s.Variance(f, plus, pz) - s.Variance(f, minus, mz)) / 4
		require.InDelta(t, want, s.CovarianceWith(f, a, az)(b, bz), 1e-9*(1+math.Abs(want)))
	}
}
