package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestSameBytes keeps what every command gives over a fixed set of systems in
// the folder that LOSTAIR_SAME_BYTES names, or, if the folder holds outputs
// already, compares with them. Run it before a change that must not change any
// output, and after it:
//
//	LOSTAIR_SAME_BYTES=/tmp/before go test ./cmd/lostair -run TestSameBytes
//
// What differs now is written beside the old as NAME.now.
func TestSameBytes(t *testing.T) {
	keep := os.Getenv("LOSTAIR_SAME_BYTES")
	if keep == "" {
		t.Skip("LOSTAIR_SAME_BYTES names no folder")
	}
	t.Chdir(t.TempDir())
	require.NoError(t, os.MkdirAll(keep, 0o755))
	old, err := filepath.Glob(filepath.Join(keep, "*.out"))
	require.NoError(t, err)
	for _, line := range strings.Split(strings.TrimSpace(sameCommands), "\n") {
		args := strings.Fields(line)
		got := runHere(t.Context(), streams{}, args...)
		name := filepath.Join(keep, strings.NewReplacer(" ", "_", "/", "-").Replace(line)+".out")
		text := []byte(got.out + got.err)
		want, err := os.ReadFile(name)
		switch {
		case len(old) == 0:
			require.NoError(t, os.WriteFile(name, text, 0o644))
		case !assert.NoError(t, err, line):
		case !assert.True(t, string(want) == string(text), "%s: not the same bytes", line):
			require.NoError(t, os.WriteFile(strings.TrimSuffix(name, ".out")+".now", text, 0o644))
		}
	}
}

// sameCommands are run in order in one folder.
const sameCommands = `
demo shop
demo four --ports 4
demo nine --ports 9 --seed 2
demo twenty --ports 20 --seed 7
new mine
new mine-us --units us
check shop/system.yaml shop/readings.csv
expect shop/system.yaml
expect shop/system.yaml --format csv
expect shop/system.yaml --format json --units us
diagnose shop/system.yaml shop/readings.csv
diagnose shop/system.yaml shop/readings.csv --units us
diagnose shop/system.yaml shop/readings.csv --plain
diagnose shop/system.yaml shop/readings.csv --format json
diagnose shop/system.yaml shop/readings.csv --format html
diagnose shop/system.yaml shop/readings.csv --format svg
diagnose shop/system.yaml shop/readings.csv --baseline shop/when-sound.csv
diagnose shop/system.yaml shop/readings.csv --baseline shop/when-sound.csv --format json
diagnose shop/system.yaml shop/readings.csv --baseline shop/when-sound.csv --format html --units us
diagnose mine/system.yaml mine/readings.csv
diagnose mine/system.yaml mine/readings.csv --format html
diagnose mine-us/system.yaml mine-us/readings.csv --format html
diagnose four/system.yaml four/readings.csv
diagnose four/system.yaml four/readings.csv --format html --units us
diagnose four/system.yaml four/readings.csv --format json --units us
diagnose nine/system.yaml nine/readings.csv
diagnose nine/system.yaml nine/readings.csv --format html
diagnose nine/system.yaml nine/readings.csv --format json
diagnose twenty/system.yaml twenty/readings.csv
diagnose twenty/system.yaml twenty/readings.csv --format html --units us
verify shop/system.yaml shop/when-sound.csv
verify shop/system.yaml shop/when-sound.csv --format html
verify shop/system.yaml shop/when-sound.csv --format json
verify mine-us/system.yaml mine-us/readings.csv --format html
whatif shop/system.yaml --set filter=3x
whatif shop/system.yaml --set filter=3x --format csv
whatif shop/system.yaml --set filter=3x --format json --units us
plan shop/system.yaml
plan shop/system.yaml --format json
plan four/system.yaml --units us
sheet shop/system.yaml
sheet shop/system.yaml --format html
sheet shop/system.yaml --format csv
sheet nine/system.yaml --format html --units us
track shop/system.yaml shop/history
track shop/system.yaml shop/history --format json
track shop/system.yaml shop/history --format html
track shop/system.yaml --before shop/when-sound.csv --after shop/readings.csv
track shop/system.yaml --before shop/when-sound.csv --after shop/readings.csv --format html
track shop/system.yaml --before shop/when-sound.csv --after shop/readings.csv --format json
sources
sources --format json
schema result
help diagnose
`
