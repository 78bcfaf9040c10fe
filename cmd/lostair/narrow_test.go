package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
	"lostair/report/layout"
)

// A terminal of 20 columns, or of next to none: every command still says what it
// has to, and no line of a diagnosis is longer than 40 cells apart from a long name.
func TestNarrowTerminal(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "new", ".").status)
	for _, width := range []int{1, 20} {
		for _, line := range []string{
			"diagnose system.yaml readings.csv", "diagnose system.yaml readings.csv --all", "verify system.yaml readings.csv", "plan system.yaml",
			"expect system.yaml", "whatif system.yaml --set filter=2x", "track system.yaml readings.csv readings.csv", "sources", "check system.yaml readings.csv", "help formats", "diagnose --help",
		} {
			got := runHere(t.Context(), console.Streams{OutWidth: width, ErrWidth: width, Env: func(string) string { return "1" }}, strings.Fields(line)...)
			require.Equal(t, console.Done, got.status, "%s: %s", line, got.err)
			require.NotEmpty(t, got.out, line)
			if !strings.HasPrefix(line, "diagnose s") {
				continue
			}
			for _, l := range strings.Split(got.out, "\n") {
				assert.LessOrEqual(t, layout.Width(l), 60, "%s: %q", line, l)
			}
		}
	}
}
