package duct

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const typed = `units: us
collector: {inlet: 6, fan: {motor: 2, wheel: 12}}
ducts:
  - {id: main, into: collector, enters: Straight, diameter: 6, length: 10, material: MATERIAL, fittings: [{sweep elbow: 90}], gate: g}
ports:
  - {id: saw, duct: main, hood: HOOD}
`

// Words of the trade that can mean one thing only are understood.
func TestWordsAreUnderstood(t *testing.T) {
	for _, x := range []struct{ material, hood, wantMaterial, wantHood string }{
		{"galvanized", "plain end", "galvanised", "plain"},
		{"hose", "Flanged", "flexible", "flanged"},
		{"hose", "Grinding-Tapered", "flexible", "grinding-tapered"},
		{"flex", "bell-mouth", "flexible", "bellmouth"},
		{"PVC", "taper", "pvc", "tapered"},
	} {
		s, bad := Load([]byte(strings.NewReplacer("MATERIAL", x.material, "HOOD", x.hood).Replace(typed)), "t.yaml")
		require.NotNil(t, s, "%v", bad)
		assert.Equal(t, x.wantMaterial, s.Ducts[0].Material)
		assert.Equal(t, x.wantHood, s.Ports[0].Hood)
		assert.True(t, s.Ducts[0].Straight)
		assert.True(t, s.Ducts[0].Fittings[0].Elbow)
	}
}

// A machine's need is shared by its ports, by their inside area, and is written
// back as it was given.
func TestMachineSharesItsNeed(t *testing.T) {
	s, bad := Load([]byte(`units: metric
collector: {inlet: 150, fan: {most_air: 1900, most_suction: 2400}}
ducts:
  - {id: main, into: collector, diameter: 150, length: 4, material: spiral}
  - {id: a, into: main, diameter: 100, length: 2, material: spiral, gate: a}
  - {id: b, into: main, enters: 45, diameter: 100, length: 2, material: spiral, gate: b}
ports:
  - {id: top, duct: a, hood: 1, opening: 50}
  - {id: belly, duct: b, hood: 1}
machines:
  - {id: planer, ports: [top, belly], need: 1500}
`), "m.yaml")
	require.NotNil(t, s, "%v", bad)
	for range 2 { // as often as it is finished
		assert.InEpsilon(t, 300.0/3600, s.Ports[0].Need, 1e-9)
		assert.InEpsilon(t, 1200.0/3600, s.Ports[1].Need, 1e-9)
		require.NoError(t, s.Finish().Err())
	}
	again, bad := Load(Marshal(s), "again.yaml")
	require.NotNil(t, again, "%v", bad)
	assert.InEpsilon(t, s.Ports[0].Need, again.Ports[0].Need, 1e-9)
}
