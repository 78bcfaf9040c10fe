package route

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct/systemfile"
)

// By hand, on a tree of a trunk (0) that takes an arm (1) and an end (4); two hoses (2, 3)
// stand on the arm, and a gate in the arm shuts both.
func TestWaysOfATree(t *testing.T) {
	sys, bad := systemfile.Load([]byte(`
units: metric
collector: {inlet: 160, fan: {curve: [[0, 2600], [1200, 2300], [2400, 900], [2900, 0]]}}
ducts:
  - {id: trunk, into: collector, diameter: 160, length: 5, material: spiral}
  - {id: arm, into: trunk, enters: 30, diameter: 125, length: 3, material: spiral, gate: arm}
  - {id: left, into: arm, diameter: 100, length: 2, material: flexible, gate: left}
  - {id: right, into: arm, enters: 45, diameter: 80, length: 2, material: flexible}
  - {id: end, into: trunk, diameter: 125, length: 4, material: spiral, gate: end}
ports:
  - {id: one, duct: left, hood: 1}
  - {id: two, duct: right, hood: 1}
  - {id: three, duct: end, hood: plain}
`), "ways.yaml")
	require.NoError(t, bad.Err())
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	open := func(gates ...string) airflow.Config {
		c, err := m.Configure(false, gates, nil)
		require.NoError(t, err)
		return c
	}
	require.Equal(t, [][]int{{2, 1, 0}, {3, 1, 0}, {4, 0}}, [][]int{Of(m, 0), Of(m, 1), Of(m, 2)})
	require.Equal(t, [][]bool{{true, true, true, false, false}, {true, true, false, true, false}, {true, false, false, false, true}}, All(m))
	trunks := Trunks(sys)
	require.Equal(t, []bool{true, true, false, false, false}, trunks)
	require.Equal(t, [][]int{{2}, {3}, {4}}, [][]int{Own(m, 0, trunks), Own(m, 1, trunks), Own(m, 2, trunks)})
	require.Equal(t, [][]bool{{false, true, false}, {true, true, false}, {false, false, true}, {false, false, false}},
		[][]bool{Reach(m, open("arm")), Reach(m, open("arm", "left")), Reach(m, open("end", "left")), Reach(m, open())})
	require.Equal(t, open("arm", "left"), Alone(m, 0))
	require.Equal(t, open("arm"), Alone(m, 1))
	require.Equal(t, open("end"), Alone(m, 2))
	require.Equal(t, [][]int{{0, 1, 2}, {0, 1}, {1}, {2}, {0, 1, 2}, {0, 1}},
		[][]int{Upstream(m, 0, 9), Upstream(m, 1, 9), Upstream(m, 3, 9), Upstream(m, 4, 9), Upstream(m, -1, 9), Upstream(m, 0, 2)})
	first, _ := systemfile.Load([]byte(twoEnds), "first.yaml") // whose first duct is a drop
	require.NotNil(t, first)
	at, err := airflow.New(first, airflow.Options{})
	require.NoError(t, err)
	require.Equal(t, [][]int{{0}, {0, 1}, {0, 1}}, [][]int{Upstream(at, 0, 9), Upstream(at, 1, 9), Upstream(at, -1, 9)})
	ports, probes := Connected(m, open("arm"))
	require.Equal(t, []int{1}, ports)
	require.Len(t, probes, 1)
	c, s := m.Coefs(), m.NewState()
	require.NoError(t, s.Solve(&c, open("arm")))
	require.Equal(t, s.PortFlow(1), s.Value(probes[0]))
	require.Equal(t, s.PortFlow(1), airflow.FlowOf(sys, 1, open("arm")))
}

// twoEnds is a trunk with two drops, of which one stands before it in the file.
const twoEnds = `
units: metric
collector: {inlet: 160, fan: {curve: [[0, 2600], [1200, 2300], [2400, 900], [2900, 0]]}}
ducts:
  - {id: drop, into: trunk, enters: 30, diameter: 125, length: 3, material: spiral}
  - {id: trunk, into: collector, diameter: 160, length: 5, material: spiral}
  - {id: end, into: trunk, diameter: 125, length: 4, material: spiral}
ports:
  - {id: one, duct: drop, hood: 1}
  - {id: two, duct: end, hood: plain}
`
