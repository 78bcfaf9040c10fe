package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
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
	lines := sameCommands(t)
	require.GreaterOrEqual(t, len(lines), 150)
	for _, line := range lines {
		args := strings.Fields(line)
		got := runHere(t.Context(), console.Streams{}, args...)
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

// sameCommands are run in order in one folder: every command, in every format and
// both systems of units, over some shops.
func sameCommands(t *testing.T) []string {
	out := strings.Split(strings.TrimSpace(sameFirst), "\n")
	for _, shop := range []string{"shop", "four", "mine", "mine-us"} {
		add := func(command string, more ...string) {
			name, _, _ := strings.Cut(command, " ")
			for _, f := range append(formatsOf(t, name), more...) {
				if f == "xlsx" {
					continue // goes into a file, and holds what csv holds
				}
				for _, u := range []string{"metric", "us"} {
					out = append(out, strings.NewReplacer("S/", shop+"/", "--format --all", "--all").Replace(command+" --format "+f+" --units "+u))
				}
			}
		}
		out = append(out, "check "+shop+"/system.yaml "+shop+"/readings.csv")
		add("expect S/system.yaml")
		add("diagnose S/system.yaml S/readings.csv", "--all")
		add("verify S/system.yaml S/readings.csv")
		add("whatif S/system.yaml --set filter=3x")
		add("plan S/system.yaml --count 6")
		add("sheet S/system.yaml")
	}
	return append(out, strings.Split(strings.TrimSpace(sameLast), "\n")...)
}

const sameFirst = `
demo shop
demo four --ports 4
demo nine --ports 9 --seed 2
new mine
new mine-us --units us
`

const sameLast = `
diagnose shop/system.yaml shop/readings.csv --plain
diagnose shop/system.yaml shop/readings.csv --baseline shop/when-sound.csv
diagnose shop/system.yaml shop/readings.csv --baseline shop/when-sound.csv --format json
diagnose shop/system.yaml shop/readings.csv --baseline shop/when-sound.csv --format html --units us
diagnose nine/system.yaml nine/readings.csv
diagnose nine/system.yaml nine/readings.csv --format html
diagnose nine/system.yaml nine/readings.csv --format json
verify shop/system.yaml shop/when-sound.csv
verify shop/system.yaml shop/when-sound.csv --format html
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
