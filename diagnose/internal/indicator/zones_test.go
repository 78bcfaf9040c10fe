package indicator

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct/systemfile"
)

// What serves the same ports as the duct that it runs into is one zone with it, the first
// duct of the file like any other.
func TestZonesAreWhatServesTheSamePorts(t *testing.T) {
	sys, bad := systemfile.Load([]byte(`units: metric
collector:
  inlet: 200
  fan: {curve: [[0, 2500], [3000, 1500], [4000, 0]]}
ducts:
  - {id: main, into: collector, diameter: 200, length: 4, material: spiral}
  - {id: run, into: main, diameter: 180, length: 4, material: spiral}
  - {id: a, into: run, diameter: 100, length: 3, material: spiral, gate: a}
  - {id: hose, into: a, diameter: 100, length: 1, material: flexible}
  - {id: b, into: run, enters: 45, diameter: 100, length: 3, material: spiral, gate: b}
ports:
  - {id: pa, duct: hose, hood: 0.5}
  - {id: pb, duct: b, hood: 0.5}
`), "zones.yaml")
	require.NoError(t, bad.Err())
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	var names [][]string
	for _, z := range ZonesOf(m) {
		var of []string
		for _, d := range z {
			of = append(of, sys.Ducts[d].ID)
		}
		names = append(names, of)
	}
	require.Equal(t, [][]string{{"main", "run"}, {"a", "hose"}, {"b"}}, names)
}
