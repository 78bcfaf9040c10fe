package systemfile

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
