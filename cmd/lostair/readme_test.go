package main

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
	"lostair/diagnose/duct/keys"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/duct/trade"
	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/golden"
)

const readme = root + "/README.md"

// commands are the lines of the README's sh blocks.
func commands(t *testing.T, text string) []string {
	var out []string
	for _, block := range regexp.MustCompile("(?s)```sh\n(.*?)```").FindAllStringSubmatch(text, -1) {
		for _, line := range strings.Split(strings.TrimSpace(block[1]), "\n") {
			line, _, _ = strings.Cut(line, " #")
			out = append(out, strings.TrimSpace(line))
		}
	}
	require.GreaterOrEqual(t, len(out), 8, "the README's commands were not found")
	return out
}

// elsewhere are commands that are not run here: the tests, which this is one
// of, the installation, and the shell's own.
func elsewhere(line string) bool {
	return line == "go test ./..." || line == "go install ./cmd/lostair" || strings.HasPrefix(line, "cd ")
}

// Each command that the README shows is run, in order, in one folder.
func TestReadmeCommandsRun(t *testing.T) {
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	for _, line := range commands(t, string(text)) {
		if elsewhere(line) {
			continue
		}
		args, ok := strings.CutPrefix(line, "go run ./cmd/lostair ")
		if !ok {
			args, ok = strings.CutPrefix(line, "lostair ")
		}
		require.True(t, ok, "what is %q?", line)
		got := runHere(t.Context(), console.Streams{}, strings.Fields(args)...)
		assert.Equal(t, console.Done, got.status, "%s\n%s", line, got.err)
	}
}

const (
	demoStart = "<!-- what the demo prints; kept fresh by a test -->\n```text\n"
	demoEnd   = "```\n"
)

// The README shows the first screen of what the demo really prints.
func TestReadmeShowsTheDemo(t *testing.T) {
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	before, rest, ok := strings.Cut(string(text), demoStart)
	require.True(t, ok)
	old, after, ok := strings.Cut(rest, demoEnd)
	require.True(t, ok)
	t.Chdir(t.TempDir())
	got := runHere(t.Context(), console.Streams{}, "demo")
	require.Equal(t, console.Done, got.status, got.err)
	want, _, ok := strings.Cut(got.out, "\nShort now")
	require.True(t, ok)
	if golden.Update() {
		t.Chdir(moduleRoot(t))
		require.NoError(t, os.WriteFile("README.md", []byte(before+demoStart+want+demoEnd+after), 0o644))
		return
	}
	assert.Equal(t, want, old, "run UPDATE_GOLDEN=1 go test ./cmd/lostair")
}

// start is where the tests begin, before any of them changes the folder.
var start, startErr = os.Getwd()

func moduleRoot(t *testing.T) string {
	require.NoError(t, startErr)
	return start + "/" + root
}

// Whatever the tables hold stands in the help on formats.
func TestFormatsNameEverything(t *testing.T) {
	text := newFormats().Long
	names := func(what string) { // not assert.Contains, which prints the whole text
		assert.True(t, strings.Contains(text, "  "+what+" "), "help formats lacks %s", what)
	}
	for _, k := range fault.Kinds() {
		if k != fault.Altered {
			names(k.String())
		}
	}
	for _, q := range units.QuantityNames() {
		names(q)
	}
	for _, k := range readings.LookNames() {
		names(k)
	}
	for _, m := range trade.Materials() {
		names(m.Name)
	}
	for _, h := range trade.Hoods() {
		names(h.Name)
	}
	for _, u := range trade.Usuals() {
		names(u.Kind)
	}
	for _, c := range readings.ColumnTable() {
		names(c.Name)
	}
	for _, s := range keys.Sections() {
		for _, k := range keys.Of(s) {
			names(k.Name)
		}
	}
}

// The shop that the README shows is a sound file.
func TestReadmeShowsAShop(t *testing.T) {
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	_, rest, ok := strings.Cut(string(text), "```yaml\n")
	require.True(t, ok)
	shop, _, _ := strings.Cut(rest, "```")
	sys, problems := systemfile.Load([]byte(shop), "README.md")
	require.NoError(t, problems.Err())
	require.Empty(t, problems, "no warning either")
	require.Equal(t, units.US, sys.Units)
}

func TestReadmeNamesEveryCommand(t *testing.T) {
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	for _, c := range newRoot(console.Streams{}).Commands() {
		if c.Name() == "help" || c.Name() == "completion" {
			continue
		}
		name := "`lostair " + c.Name() + "`"
		if !c.Runnable() {
			name = "`lostair help " + c.Name() + "`"
		}
		assert.True(t, strings.Contains(string(text), name), "README.md lacks %s", name)
	}
}
