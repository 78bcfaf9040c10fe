package airflow

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct/systemfile"
	"lostair/readings/units"
)

const profileShop = `
name: Profile
units: metric
collector:
  inlet: 160
  fan: {curve: [[0, 2600], [1200, 2300], [2400, 900], [2900, 0]]}
  cyclone: {drop: 400, at: 1500}
ducts:
  - {id: trunk, into: collector, diameter: 160, length: 5, material: spiral, taps: {A: 1, B: 3}}
  - {id: arm, into: trunk, enters: 30, diameter: 125, length: 3, material: spiral, taps: {C: 2}}
  - {id: hose, into: arm, diameter: 100, length: 2, material: flexible, gate: g}
  - {id: end, into: trunk, diameter: 125, length: 4, material: spiral, gate: e}
ports:
  - {id: one, duct: hose, hood: 1}
  - {id: two, duct: end, hood: plain}
`

// The profile must agree with what probes read at the same places.
func TestProfileAgreesWithProbes(t *testing.T) {
	sys, bad := systemfile.Load([]byte(profileShop), "profile.yaml")
	require.NoError(t, bad.Err())
	m, err := New(sys, Options{})
	require.NoError(t, err)
	cfg, err := m.Configure(true, nil, nil)
	require.NoError(t, err)
	c := m.Coefs()
	s := m.NewState()
	require.NoError(t, s.Solve(&c, cfg))
	read := func(point string) float64 {
		p, err := m.ProbeAt(point, units.StaticPressure)
		require.NoError(t, err)
		return s.Value(p)
	}
	way := s.Profile(0)
	want := map[float64]string{4: "C", 2 + 3 + 1: "A", 2 + 3 + 3: "B"} // metres from the mouth
	for i := 1; i < len(way); i++ {
		assert.GreaterOrEqual(t, way[i].Along, way[i-1].Along)
		tap, ok := want[way[i].Along]
		switch {
		case ok && way[i].From > 0 && way[i-1].Along < way[i].Along:
			assert.Equal(t, read(tap), way[i].Static, tap)
		case ok:
			assert.InEpsilon(t, read(tap), way[i].Static, 0.01, "%s: what seeps in there changes the velocity a little", tap)
		}
	}
	assert.Equal(t, read("one"), way[0].Static)
	n := len(way)
	assert.Equal(t, read(CollectorInlet), way[n-2].Static)
	assert.Equal(t, read(FanInlet), way[n-1].Static)
	assert.InDelta(t, 10, way[n-1].Along, 1e-12)
	assert.Less(t, way[n-1].Static, way[n-2].Static, "the cyclone stands before the fan")
}
