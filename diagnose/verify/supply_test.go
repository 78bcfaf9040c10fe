package verify_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
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
