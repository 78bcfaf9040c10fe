package airflow_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings/units"
)

// solved is a system's model and its state with one gate open.
func solved(t *testing.T, text, gate string, hoseOff ...string) (*airflow.Model, *airflow.State, airflow.Config) {
	t.Helper()
	sys, bad := systemfile.Load([]byte(text), "s.yaml")
	require.NotNil(t, sys, "%v", bad)
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	cfg, err := m.Configure(false, []string{gate}, hoseOff)
	require.NoError(t, err)
	c, s := m.Coefs(), m.NewState()
	require.NoError(t, s.Solve(&c, cfg))
	return m, s, cfg
}

func value(t *testing.T, m *airflow.Model, s *airflow.State, cfg airflow.Config, point string, q units.Quantity) float64 {
	t.Helper()
	p, err := m.ProbeAt(point, q)
	require.NoError(t, err)
	return s.Value(m.In(p, cfg))
}

// A gate at either end of a duct gives the same air at the open port: only the
// shut drop's own seepage moves to the other side of its gate.
func TestGateAtEitherEnd(t *testing.T) {
	down := strings.NewReplacer("gate: lathe", "gate: {id: lathe, at: downstream}",
		"gate: bench", "gate: {id: bench, at: downstream}").Replace(twoDrops)
	for _, gate := range []string{"lathe", "bench"} {
		_, a, _ := solved(t, twoDrops, gate)
		m, b, _ := solved(t, down, gate)
		open, shut := 0, 1
		if gate == "bench" {
			open, shut = 1, 0
		}
		assert.InEpsilon(t, a.PortFlow(open), b.PortFlow(open), 0.01, gate)
		assert.Less(t, b.PortFlow(shut), 0.05*b.PortFlow(open), gate)
		g, ok := m.GateIndex(gate)
		require.True(t, ok)
		d, _ := m.GateDuct(g)
		assert.Equal(t, open+1, d)
	}
}

// Behind a gate downstream there is no suction in the drop; before one upstream there is.
func TestShutGateKeepsTheSuctionOut(t *testing.T) {
	tapped := strings.Replace(twoDrops, "gate: bench", "taps: {B: 1}, gate: bench", 1)
	m, s, cfg := solved(t, tapped, "lathe")
	up := value(t, m, s, cfg, "B", units.Suction)
	m, s, cfg = solved(t, strings.Replace(tapped, "gate: bench", "gate: {id: bench, at: downstream}", 1), "lathe")
	assert.Greater(t, up, 300.0)
	assert.Less(t, value(t, m, s, cfg, "B", units.Suction), 0.02*up)
}

// The opening's area relates velocity to flow at the port, until its hose is off.
func TestOpening(t *testing.T) {
	for _, c := range []struct {
		opening string
		area    float64
	}{
		{"80", math.Pi / 4 * 0.08 * 0.08},
		{"{width: 60, height: 150}", 0.06 * 0.15},
		{"{width: 100, height: 250}", 0.1 * 0.25},
	} {
		text := strings.Replace(twoDrops, "duct: lathe-drop,", "duct: lathe-drop, opening: "+c.opening+",", 1)
		m, s, cfg := solved(t, text, "lathe")
		assert.InEpsilon(t, s.PortFlow(0)/c.area, value(t, m, s, cfg, "lathe", units.MeanVelocity), 1e-6, c.opening)
		_, plain, _ := solved(t, twoDrops, "lathe")
		assert.Less(t, s.PortFlow(0), plain.PortFlow(0), "the step costs air: %s", c.opening)

		m, s, cfg = solved(t, text, "lathe", "lathe")
		_, bare, _ := solved(t, twoDrops, "lathe", "lathe")
		assert.InEpsilon(t, bare.PortFlow(0), s.PortFlow(0), 1e-9, "the hose takes the opening away: %s", c.opening)
		bore := math.Pi / 4 * 0.1 * 0.1
		assert.InEpsilon(t, s.PortFlow(0)/bore, value(t, m, s, cfg, "lathe", units.MeanVelocity), 1e-6, c.opening)
	}
}

// A room that lets in little air starves its fan; a wide open one does not.
func TestRoomInlets(t *testing.T) {
	_, free, _ := solved(t, twoDrops, "lathe")
	_, wide, _ := solved(t, twoDrops+"room: {inlets: 2 m2}\n", "lathe")
	_, tight, _ := solved(t, twoDrops+"room: {inlets: 100 cm2}\n", "lathe")
	assert.InEpsilon(t, free.PortFlow(0), wide.PortFlow(0), 0.001)
	assert.Less(t, tight.PortFlow(0), 0.95*free.PortFlow(0))
}
