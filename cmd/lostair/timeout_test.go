package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
)

// stoppable are calls of the commands that compute, in a folder with the demo.
var stoppable = []string{
	"diagnose d/system.yaml d/readings.csv --baseline d/when-sound.csv",
	"diagnose d/system.yaml d/readings.csv d/when-sound.csv",
	"verify d/system.yaml d/readings.csv",
	"plan d/system.yaml",
	"track d/system.yaml d/history",
	"track d/system.yaml --before d/readings.csv --after d/when-sound.csv",
	"whatif d/system.yaml --set filter=2x",
	"expect d/system.yaml",
}

// An object that a stopped command gives as JSON.
type early struct {
	Unfinished bool
	Verdict    string
	Faults     []any
	Candidates []struct{ Probability float64 }
	Broken     struct{ Probability float64 }
	Sound      float64
	Errors     []struct{ What string }
}

// earlyIn reads all objects of an output, be it a list or one.
func earlyIn(t *testing.T, out string) []early {
	t.Helper()
	var list []early
	if strings.HasPrefix(out, "[") {
		require.NoError(t, json.Unmarshal([]byte(out), &list))
		return list
	}
	var one early
	require.NoError(t, json.Unmarshal([]byte(out), &one), out)
	return []early{one}
}

// assertsNothing holds of what is known of work that was stopped.
func assertsNothing(t *testing.T, e early) {
	t.Helper()
	assert.True(t, e.Unfinished)
	assert.Empty(t, e.Faults)
	if e.Verdict != "" {
		assert.Equal(t, "unclear", e.Verdict)
		assert.LessOrEqual(t, e.Sound, 0.5)
		for _, c := range e.Candidates {
			assert.LessOrEqual(t, c.Probability, 0.5)
		}
	}
}

func TestTimeout(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "demo", "d").status)
	for _, call := range stoppable {
		t.Run(call, func(t *testing.T) {
			args := strings.Fields(call + " --timeout 1ns")
			begun := time.Now()
			got := runHere(t.Context(), console.Streams{}, append(args, "--format", "json")...)
			assert.Equal(t, console.Stopped, got.status, got.err)
			assert.Contains(t, got.err, "lostair: stopped; ")
			for _, e := range earlyIn(t, got.out) {
				assertsNothing(t, e)
				assert.Equal(t, strings.HasPrefix(call, "diagnose"), e.Verdict != "", "a diagnosis says what is known by then")
			}
			text := runHere(t.Context(), console.Streams{}, args...)
			assert.Equal(t, console.Stopped, text.status, text.err)
			if text.out != "" {
				assert.Contains(t, text.out, "Stopped before the work was finished")
			}
			assert.Less(t, time.Since(begun), 8*time.Second, "two runs")
		})
	}
	page := runHere(t.Context(), console.Streams{}, "diagnose", "d/system.yaml", "d/readings.csv", "--timeout", "1ns", "--format", "html")
	assert.Equal(t, console.Stopped, page.status, page.err)
	assert.Contains(t, page.out, "Stopped before the work was finished")
	assert.Contains(t, page.out, "Unfinished")

	for call, says := range map[string]string{
		"diagnose d/system.yaml d/readings.csv --timeout 0":   "--timeout 0s is out of range; give a time above zero, like 30s or 2m",
		"diagnose d/system.yaml d/readings.csv --timeout -3s": "--timeout -3s is out of range; give a time above zero, like 30s or 2m",
		"plan d/system.yaml --timeout 5":                      `--timeout takes a time, like 30s or 2m, not "5"`,
		"check d/system.yaml --timeout x":                     `--timeout takes a time, like 30s or 2m, not "x"`,
	} {
		got := runHere(t.Context(), console.Streams{}, strings.Fields(call)...)
		assert.Equal(t, console.NotDone, got.status, call)
		assert.Contains(t, got.err, says, call)
	}
}

// A limit that is not reached changes nothing.
func TestTimeoutChangesNothing(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "demo", "d").status)
	calls := stoppable[1:4]
	if os.Getenv("LOSTAIR_LONG") != "" {
		calls = stoppable
	}
	for _, call := range calls {
		args := append(strings.Fields(call), "--format", "json")
		want := runHere(t.Context(), console.Streams{}, args...)
		require.Equal(t, console.Done, want.status, want.err)
		assert.NotContains(t, want.out, "unfinished", call)
		assert.Equal(t, want, runHere(t.Context(), console.Streams{}, append(args, "--timeout", "1h")...), call)
	}
}

// What is known of work that was stopped is written, but not over a file that may
// hold a whole result.
func TestStoppedOutput(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "demo", "d").status)
	ctx, stop := context.WithCancel(t.Context())
	stop()
	args := []string{"diagnose", "d/system.yaml", "d/readings.csv", "--format", "json", "-o", "out.json"}
	got := runHere(ctx, console.Streams{}, args...)
	assert.Equal(t, outcome{console.Stopped, "", "lostair: stopped; what is known so far is in out.json\n"}, got)
	data, err := os.ReadFile("out.json")
	require.NoError(t, err)
	assertsNothing(t, earlyIn(t, string(data))[0])

	require.NoError(t, os.WriteFile("out.json", []byte("a whole result"), 0o644))
	got = runHere(ctx, console.Streams{}, append(args, "--force")...)
	assert.Equal(t, console.Stopped, got.status)
	assert.Equal(t, "lostair: stopped; out.json was left as it is\n", got.err)
	requireFile(t, "out.json", "a whole result")
}

// Stopped at any moment a command gives its whole result or says that it is none.
func TestStoppedAtRandom(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "demo", "d").status)
	r := rand.New(rand.NewPCG(1, 2))
	calls, times := stoppable[1:4], 2
	if os.Getenv("LOSTAIR_LONG") != "" {
		calls, times = stoppable, 20
	}
	seen := map[int]int{}
	for _, call := range calls {
		args := append(strings.Fields(call), "--format", "json")
		begun := time.Now()
		whole := runHere(t.Context(), console.Streams{}, args...)
		took := time.Since(begun)
		require.Equal(t, console.Done, whole.status, whole.err)
		for range times {
			after := time.Duration(r.Float64() * 1.1 * float64(took))
			ctx, stop := context.WithTimeout(t.Context(), after)
			begun := time.Now()
			got := runHere(ctx, console.Streams{}, args...)
			late := time.Since(begun) - after
			stop()
			seen[got.status]++
			if got.status == console.Done {
				assert.Equal(t, whole, got, call)
				continue
			}
			assert.Equal(t, console.Stopped, got.status, "%s after %s: %s", call, after, got.err)
			assert.True(t, slices.ContainsFunc(earlyIn(t, got.out), func(e early) bool { return e.Unfinished }), "%s after %s", call, after)
			assert.Less(t, late, 4*time.Second, "%s after %s", call, after)
			assert.False(t, bytes.Contains([]byte(got.err), []byte("panic")), got.err)
		}
	}
	t.Logf("by exit status: %v", seen)
}
