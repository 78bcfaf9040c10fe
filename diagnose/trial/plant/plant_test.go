package plant

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings/units"
)

func TestPlantsAreValidAndSolve(t *testing.T) {
	for _, n := range []int{1, 2, 3, 4, 5, 7, 9, 12, 18, 24, 31, 40, 64, 99, 150, 300} {
		seeds := uint64(4)
		if n > 50 {
			seeds = 2
		}
		for seed := range seeds {
			u := units.System(seed % 2)
			t.Run(fmt.Sprintf("ports=%d/seed=%d", n, seed), func(t *testing.T) {
				s := New(seed, n, u)
				require.Len(t, s.Ports, n)
				_, list := systemfile.Load(systemfile.Marshal(s), "system.yaml")
				require.NoError(t, list.Err())
				for _, p := range list {
					// Needs are drawn with no regard to the ducts, and a main of a large
					// plant is as wide as a slip of units.
					if strings.Contains(p.What, "in its duct of") || strings.Contains(p.What, "in their ducts") {
						continue
					}
					assert.Regexp(t, "is read as in|inlet is .* wide", p.What, "a fitter's plant gives no other cause for a warning")
					assert.Greater(t, n, 40)
				}
				for _, law := range []airflow.Join{airflow.Momentum, airflow.Handbook} {
					m := MustModel(s, airflow.Options{Join: law})
					c, st := m.Coefs(), m.NewState()
					all, err := m.Configure(true, nil, nil)
					require.NoError(t, err)
					for _, cfg := range []airflow.Config{all, Opened(m, nil), Opened(m, []int{0})} {
						require.NoError(t, st.Solve(&c, cfg))
					}
				}
			})
		}
	}
}

func TestAThousandPorts(t *testing.T) {
	s := New(1, 1000, units.Metric)
	require.Len(t, s.Ports, 1000)
	assert.Greater(t, len(s.Ducts), 2000)
}

func TestSameSeedSamePlant(t *testing.T) {
	for seed := range uint64(6) {
		a, b := systemfile.Marshal(New(seed, 9, units.US)), systemfile.Marshal(New(seed, 9, units.US))
		require.Equal(t, string(a), string(b))
		require.NotEqual(t, string(a), string(systemfile.Marshal(New(seed+1, 9, units.US))))
	}
}

func TestFewPortsAreUndersizedOnThePage(t *testing.T) {
	short, ports := 0, 0
	for seed := range uint64(60) {
		s := New(seed, 3+int(seed%20), units.Metric)
		m := MustModel(s, airflow.Options{})
		c, st := m.Coefs(), m.NewState()
		for i, p := range s.Ports {
			require.NoError(t, st.Solve(&c, Opened(m, []int{i})))
			ports++
			if st.PortFlow(i) < p.Need {
				short++
			}
		}
	}
	assert.InDelta(t, 0.03, float64(short)/float64(ports), 0.02)
}

func TestVariantsOccur(t *testing.T) {
	seen := map[string]int{}
	note := func(what string, is bool) {
		if is {
			seen[what]++
		}
	}
	const n = 150
	for seed := range uint64(n) {
		s := New(seed, 7, units.Metric)
		c := &s.Collector
		note("no cyclone", c.Cyclone == nil)
		note("no filter", c.Filter == nil)
		note("no bin", !c.Bin)
		note("fan last", len(c.Order) == 3 && c.Order[2] == duct.Fan)
		note("fan first", c.Order[0] == duct.Fan && len(c.Order) == 3)
		note("no instruments", len(s.Instruments) == 0)
		note("no limits", s.Limits == duct.Limits{})
		note("no uncertainty", s.Uncertainty == duct.Uncertainty{})
		note("standard air", s.Air.Standard)
		for i := range s.Ducts {
			d := &s.Ducts[i]
			note("gate in a trunk", d.Gate != "" && len(d.Children) > 1)
		}
		for i, p := range s.Ports {
			note("no need", p.Need == 0)
			note("no gate", len(GatesOf(s, i)) == 0)
		}
	}
	for _, what := range []string{"no cyclone", "no filter", "no bin", "fan last", "fan first", "no instruments", "no limits", "no uncertainty", "standard air",
		"gate in a trunk", "no need", "no gate"} {
		assert.Greater(t, seen[what], 1, what)
		assert.Less(t, seen[what], n*3, what)
	}
}
