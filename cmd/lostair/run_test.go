package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
)

// outcome is what one run in process gives.
type outcome struct {
	status   int
	out, err string
}

func runHere(ctx context.Context, s console.Streams, args ...string) outcome {
	var out, errs bytes.Buffer
	if s.In == nil {
		s.In = strings.NewReader("")
	}
	if s.Env == nil {
		s.Env = func(string) string { return "" }
	}
	s.Out, s.Err = &out, &errs
	return outcome{run(ctx, args, s), out.String(), errs.String()}
}

// jumbled is a survey whose values are in turn far too large and far too small:
// something is wrong, and no fault or mistake explains it.
func jumbled(t *testing.T, survey []byte) []byte {
	t.Helper()
	n := 0
	return regexp.MustCompile(`-?\d+\.?\d*,(Pa|m/s)`).ReplaceAllFunc(survey, func(b []byte) []byte {
		v, unit, _ := strings.Cut(string(b), ",")
		x, err := strconv.ParseFloat(v, 64)
		require.NoError(t, err)
		n++
		return fmt.Appendf(nil, "%.4g,%s", x*[]float64{0.5, 2.2}[n%2], unit)
	})
}

func TestStatus(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "demo", "shop", "--ports", "4").status)
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "new", "mine").status)
	require.NoError(t, os.WriteFile("bad.yaml", []byte("units: metric\nducts: 7\n"), 0o644))
	readings, err := os.ReadFile("mine/readings.csv")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile("odd.csv", jumbled(t, readings), 0o644))
	for _, c := range []struct {
		args string
		want int
	}{
		{"", console.Done},
		{"--help", console.Done},
		{"diagnose --help", console.Done},
		{"diagnose shop/system.yaml shop/readings.csv", console.Done},
		{"diagnose shop/system.yaml shop/readings.csv --fail-on-fault", console.Faulty},
		{"diagnose shop/system.yaml shop/readings.csv --fail-on-fault -o x.json --format json", console.Faulty},
		{"diagnose mine/system.yaml mine/readings.csv --fail-on-fault", console.Done},
		{"diagnose mine/system.yaml odd.csv", console.Done},
		{"diagnose mine/system.yaml odd.csv --fail-on-fault", console.Unclear},
		{"diagnose mine/system.yaml mine/readings.csv odd.csv --fail-on-fault --format json", console.Unclear},
		{"diagnose mine/system.yaml mine/readings.csv shop/readings.csv --fail-on-fault", console.NotDone}, // other gates
		{"diagnose bad.yaml shop/readings.csv --fail-on-fault", console.NotDone},
		{"diagnose shop/system.yaml", console.NotDone},
		{"diagnose shop/system.yaml shop/readings.csv --format xml", console.NotDone},
		{"diagnose shop/system.yaml shop/readings.csv --units imperial", console.NotDone},
		{"diagnose shop/system.yaml nowhere.csv", console.NotDone},
		{"check bad.yaml", console.NotDone},
		{"check shop/system.yaml mine/readings.csv", console.NotDone},
		{"expect shop/system.yaml --open nothing", console.NotDone},
		{"nonsense", console.NotDone},
	} {
		got := runHere(t.Context(), console.Streams{}, strings.Fields(c.args)...)
		assert.Equal(t, c.want, got.status, "%s\n%s", c.args, got.err)
		assert.Equal(t, c.want == console.NotDone, got.err != "", "%s: what stands on standard error: %q", c.args, got.err)
		if c.want == console.NotDone {
			assert.Empty(t, got.out, c.args)
		}
	}
	assert.FileExists(t, "x.json", "a fault is no reason not to write it")
}

// Colour is for terminals, and for those who want it.
func TestColour(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "demo", "shop", "--ports", "4").status)
	files := []string{"diagnose", "shop/system.yaml", "shop/readings.csv"}
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, append(files, "--format", "json", "-o", "result.json")...).status)
	for _, c := range []struct {
		name  string
		width int
		env   map[string]string
		args  []string
		want  bool
	}{
		{"terminal", 80, nil, nil, true},
		{"pipe", 0, nil, nil, false},
		{"NO_COLOR", 80, map[string]string{"NO_COLOR": "1"}, nil, false},
		{"empty NO_COLOR says nothing", 80, map[string]string{"NO_COLOR": ""}, nil, true},
		{"dumb terminal", 80, map[string]string{"TERM": "dumb"}, nil, false},
		{"plain", 80, nil, []string{"--plain"}, false},
	} {
		s := console.Streams{OutWidth: c.width, Env: func(k string) string { return c.env[k] }}
		got := runHere(t.Context(), s, append([]string{"show", "result.json"}, c.args...)...)
		require.Equal(t, console.Done, got.status, got.err)
		assert.Equal(t, c.want, strings.Contains(got.out, "\x1b["), c.name)
	}
	got := runHere(t.Context(), console.Streams{OutWidth: 80}, "show", "result.json", "-o", "out.txt")
	require.Equal(t, console.Done, got.status, got.err)
	saved, err := os.ReadFile("out.txt")
	require.NoError(t, err)
	assert.NotContains(t, string(saved), "\x1b", "a file gets no colour even from a terminal")
}

// What a file holds must not control the terminal that errors go to.
func TestErrorsAreInert(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "new").status)
	require.NoError(t, os.WriteFile("evil.csv", []byte("open,point,quantity,value\nsaw,\x1b[2J,static_pressure,-1\n"), 0o644))
	got := runHere(t.Context(), console.Streams{}, "check", "system.yaml", "evil.csv")
	assert.Equal(t, console.NotDone, got.status)
	assert.NotContains(t, got.err, "\x1b")
	assert.Contains(t, got.err, "evil.csv:2:")
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

// A full disk behind standard output is an error like any other.
func TestOutputThatFails(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "new").status)
	for _, args := range [][]string{{"check", "system.yaml"}, {"expect", "system.yaml"}, {"diagnose", "system.yaml", "readings.csv"}, {"version"}, {"new", "x"}, {"demo"}, {"--help"}, {"plan", "--help"}, {}} {
		var errs bytes.Buffer
		s := console.Streams{In: strings.NewReader(""), Out: full{}, Err: &errs, Env: func(string) string { return "" }}
		assert.Equal(t, console.NotDone, run(t.Context(), args, s), args)
		assert.Equal(t, "lostair: no space left on device\n", errs.String(), args)
	}
}

func requireFile(t *testing.T, path, want string) {
	t.Helper()
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, want, string(got))
}

// Help is no wider than a terminal.
func TestHelpWidth(t *testing.T) {
	root := newRoot(console.Streams{})
	for _, c := range append(root.Commands(), root) {
		text := c.Long + "\n" + c.LocalFlags().FlagUsagesWrapped(command.HelpWidth)
		for _, line := range strings.Split(text, "\n") {
			assert.LessOrEqual(t, len(line), command.HelpWidth, "%s: %s", c.Name(), line)
		}
		assert.Contains(t, c.UsageTemplate(), "FlagUsagesWrapped 80")
	}
}
