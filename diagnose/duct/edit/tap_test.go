package edit

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const tapShop = `units: us # as on the tape
collector: {inlet: 6, fan: {curve: [[0, 9], [1200, 0]]}}
ducts:
  - {id: main, into: collector, diameter: 6, length: 20, material: spiral, taps: {M1: 5}} # one hole
  - id: drop # none
    into: main
    diameter: 5
    length: 8
    material: spiral
    gate: saw
ports:
  - {id: saw, duct: drop, hood: 1.2}
`

// A tap is added in the file's own unit, and all else stays as it is.
func TestWithTap(t *testing.T) {
	for _, end := range []string{"\n", "\r\n"} {
		shop := strings.ReplaceAll(tapShop, "\n", end)
		is, err := WithTap([]byte(shop), "x.yaml", "main", "main-tap", 3.6576) // 12 ft
		require.NoError(t, err)
		assert.Equal(t, strings.Replace(shop, "{M1: 5}", "{M1: 5, main-tap: 12}", 1), string(is.Bytes()))
		is, err = WithTap([]byte(shop), "x.yaml", "drop", "T", 0.5)
		require.NoError(t, err)
		assert.Equal(t, strings.Replace(shop, "gate: saw"+end, "gate: saw"+end+"    taps: {T: 1.6404}"+end, 1), string(is.Bytes()))
	}
}

func TestWithNoTap(t *testing.T) {
	for _, x := range []struct {
		duct, tap string
		at        float64
		what      string
	}{
		{"main", "M1", 1, ""}, // it is there: its place is corrected
		{"drop", "M1", 1, "M1"},
		{"main", "saw", 1, "saw"},
		{"main", "T", 7, "lies at"},
		{"main", "T", -1, "T"},
		{"main", "a+b", 1, "a+b"},
		{"nowhere", "T", 1, "can't be changed here"},
	} {
		is, err := WithTap([]byte(tapShop), "x.yaml", x.duct, x.tap, x.at)
		if x.what == "" {
			require.NoError(t, err)
			assert.Contains(t, string(is.Bytes()), "{M1: 3.2808}")
			continue
		}
		require.ErrorContains(t, err, x.what)
	}
	_, err := WithTap([]byte("ducts: ["), "x.yaml", "main", "T", 1)
	require.Error(t, err)
}
