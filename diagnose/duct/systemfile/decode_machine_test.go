package systemfile

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

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
