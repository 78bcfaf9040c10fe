//go:build unix

package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
)

// everyCommand calls each command once or more in a folder that `new` has filled and
// that holds result.json, and what it gives where all is well.
var everyCommand = []struct {
	line   string // run by sh; "$L" is the program
	status int
	makes  []string // files
}{
	{`"$L" check system.yaml readings.csv`, console.Done, nil},
	{`"$L" expect system.yaml`, console.Done, nil},
	{`"$L" expect system.yaml --format csv -o made.csv`, console.Done, []string{"made.csv"}},
	{`"$L" plan system.yaml --count 2`, console.Done, nil},
	{`"$L" sheet system.yaml`, console.Done, nil},
	{`"$L" sheet system.yaml -o made.html`, console.Done, []string{"made.html"}},
	{`"$L" diagnose system.yaml readings.csv`, console.Done, nil},
	{`"$L" diagnose system.yaml readings.csv --format json -o made.json`, console.Done, []string{"made.json"}},
	{`"$L" verify system.yaml readings.csv`, console.Done, nil},
	{`"$L" whatif system.yaml --set collector.inlet=160`, console.Done, nil},
	{`"$L" track system.yaml readings.csv readings.csv`, console.Done, nil},
	{`"$L" track system.yaml --before readings.csv --after readings.csv`, console.Done, nil},
	{`"$L" show result.json`, console.Done, nil},
	{`"$L" show result.json --format html -o made.html`, console.Done, []string{"made.html"}},
	{`"$L" round system.yaml made.csv --weak saw --date 2026-03-02`, console.Done, []string{"made.csv"}},
	{`"$L" new made`, console.Done, []string{"made/readings.csv", "made/system.yaml"}},
	{`"$L" demo made --ports 3`, console.Done, []string{"made/readings.csv", "made/system.yaml"}},
	{`"$L" page -o made.html`, console.NotDone, nil}, // here is no checkout
	{`"$L" sources`, console.Done, nil},
	{`"$L" schema system`, console.Done, nil},
	{`"$L" formats`, console.Done, nil},
	{`"$L" version`, console.Done, nil},
	{`"$L" help diagnose`, console.Done, nil},
	{`"$L" completion bash`, console.Done, nil},
	// what a shell starts behind itself ignores Ctrl-C until it listens for it
	{`"$L" serve --port 0 --no-browser & p=$!; (while sleep 0.1; do kill -INT $p || exit; done) >/dev/null 2>&1 & wait $p`, console.Done, nil},
}

// worlds are how a process may find the computer. In most of them each command does
// the same as anywhere.
var worlds = []struct {
	name   string
	before string // run by sh
	around string // COMMAND stands for the command
	env    []string
	status int // where it is another than usual; 0: the usual one
	err    string
	half   bool // what is made may be there or not
}{
	{name: "no home", before: "unset HOME XDG_CONFIG_HOME"},
	{name: "a home that is gone", env: []string{"HOME=/no/such", "XDG_CONFIG_HOME=/no/such/config"}},
	{name: "a home that is a file", env: []string{"HOME=/dev/null", "XDG_CONFIG_HOME=/dev/null"}},
	{name: "no environment", before: `for v in $(env | sed -n 's/^\([A-Za-z_][A-Za-z_0-9]*\)=.*/\1/p'); do case $v in L|PATH) ;; *) unset $v;; esac; done`},
	{name: "TMPDIR gone", env: []string{"TMPDIR=/no/such"}},
	{name: "an odd language", env: []string{"LANG=xx_YY.BROKEN", "LC_ALL=\x01", "LC_NUMERIC=de_DE.UTF-8", "LANGUAGE=ar"}},
	{name: "an odd time zone", env: []string{"TZ=:/dev/null"}},
	{name: "20 columns", env: []string{"COLUMNS=20", "LINES=1", "TERM=nonsense"}},
	{name: "standard input closed", around: "{ COMMAND; } <&-"},
	{name: "standard input a folder", around: "{ COMMAND; } <."},
	{name: "standard input only for writing", around: "{ COMMAND; } 0>in; s=$?; rm -f in; exit $s"},
	{name: "standard error closed", around: "{ COMMAND; } 2>&-"},
	{name: "standard error full", around: "{ COMMAND; } 2>/dev/full"},
	{name: "a mask that forbids all", before: "umask 777"},
	{name: "no mask", before: "umask 0"},
	{name: "signals ignored", before: "trap '' HUP PIPE QUIT USR1 TSTP"},
	{name: "few files", before: "ulimit -n 16"},
	{name: "files from 1970", before: "touch -d 1970-01-01T00:00:00Z *"},
	{name: "files from 2199", before: "touch -d 2199-01-01T00:00:00Z *"},
	{name: "standard output closed", around: "{ COMMAND; } >&-", status: console.NotDone, err: "standard output is closed", half: true},
	{name: "standard output full", around: "{ COMMAND; } >/dev/full", status: console.NotDone, err: "no space left", half: true},
	{name: "no room on the disk", before: "ulimit -f 0; trap '' XFSZ", err: "file too large", half: true},
}

// Every command in every world: the status, what is said and what is left on the disk
// are those of an ordinary world; where the result can't be brought out, the status
// says so. The ordinary run takes a part of the pairs, another for each command.
func TestEveryCommandInEveryWorld(t *testing.T) {
	program := built(t)
	stride := 12
	if os.Getenv("LOSTAIR_LONG") != "" {
		stride = 1
	}
	ran := 0
	for i, c := range everyCommand {
		usual := inWorld(t, program, c.line, nil)
		require.Equal(t, c.status, usual.status, "%s: %s", c.line, usual.err)
		require.Equal(t, c.makes, usual.made, c.line)
		for k, w := range worlds {
			if (i+k)%stride != 0 {
				continue
			}
			ran++
			t.Run(w.name+": "+c.line, func(t *testing.T) {
				line := strings.ReplaceAll(w.around, "COMMAND", c.line)
				if line == "" {
					line = c.line
				}
				if w.before != "" {
					line = w.before + "\n" + line
				}
				got := inWorld(t, program, line, w.env)
				for _, said := range []string{got.out, got.err} {
					require.NotContains(t, said, "goroutine ")
					require.NotContains(t, said, "\x1b")
				}
				if w.half {
					spoilt(t, c.makes, w.status, w.err, usual, got)
					return
				}
				require.Equal(t, usual.status, got.status, got.err)
				if !strings.Contains(c.line, "serve") { // each has an address of its own
					require.Equal(t, usual.out, got.out)
				}
				require.Equal(t, usual.made, got.made)
				require.Equal(t, usual.texts, got.texts)
			})
		}
	}
	t.Logf("%d of %d pairs of a command and a world", ran, len(everyCommand)*len(worlds))
}

// spoilt is what must hold where a result can't be brought out.
func spoilt(t *testing.T, makes []string, status int, says string, usual, got inTheWorld) {
	t.Helper()
	if got.status != usual.status {
		require.Equal(t, console.NotDone, got.status, got.err)
		require.Contains(t, got.err, says)
	} else if status != 0 {
		require.Empty(t, usual.out, "it had something to say, and nobody was told that it was lost")
	}
	for i, name := range got.made { // whole, or not there
		require.Contains(t, makes, name)
		require.Equal(t, usual.texts[name], got.texts[name], "%d %s", i, name)
	}
}

// inTheWorld is what came of a run.
type inTheWorld struct {
	outcome
	made  []string
	texts map[string]string
}

// inWorld runs a line of sh in a new folder that holds a shop.
func inWorld(t *testing.T, program, line string, env []string) inTheWorld {
	t.Helper()
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "new", ".").status)
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "whatif", "system.yaml", "--set", "collector.inlet=160", "--format", "json", "-o", "result.json").status)
	given := snapshot(t)
	ctx, stop := context.WithTimeout(t.Context(), time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, "sh", "-c", line)
	cmd.WaitDelay = time.Second
	cmd.Env = append(append(os.Environ(), "XDG_CONFIG_HOME="+t.TempDir(), "L="+program), env...)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	var exit *exec.ExitError
	if err := cmd.Run(); err != nil {
		require.ErrorAs(t, err, &exit)
	}
	got := inTheWorld{outcome: outcome{cmd.ProcessState.ExitCode(), out.String(), errs.String()}, texts: map[string]string{}}
	opened(t) // umask 777 leaves files that only root may read
	left := snapshot(t)
	for name, text := range given {
		require.Equal(t, text, left[name], "%s was changed", name)
		delete(left, name)
	}
	for name := range left {
		got.made = append(got.made, name)
		got.texts[name] = left[name]
	}
	slices.Sort(got.made)
	return got
}

// opened lets the owner read all that was made.
func opened(t *testing.T) {
	t.Helper()
	require.NoError(t, filepath.Walk(".", func(path string, info os.FileInfo, err error) error {
		if err != nil {
			return err
		}
		return os.Chmod(path, info.Mode()|0o700)
	}))
}

// A clock that is wrong changes no result: with it before all files and after them
// every command gives the same bytes. A round asks for the day.
func TestEveryCommandAtAnyTime(t *testing.T) {
	for _, year := range []int{1, 1970, 1999, 2038, 9999, 20000} {
		now := func() time.Time { return time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC) }
		t.Chdir(t.TempDir())
		require.Equal(t, console.Done, runHere(t.Context(), console.Streams{Now: now}, "new", ".").status)
		got := runHere(t.Context(), console.Streams{Now: now}, "round", "system.yaml", "made.csv", "--weak", "saw")
		if year == 2038 || year == 9999 {
			assert.Equal(t, console.Done, got.status, got.err)
			continue
		}
		assert.Equal(t, console.NotDone, got.status)
		assert.Contains(t, got.err, "this computer's clock says "+now().Format(time.DateOnly)+"; give the day of the readings with --date")
		assert.NoFileExists(t, "made.csv")
		got = runHere(t.Context(), console.Streams{Now: now}, "round", "system.yaml", "made.csv", "--weak", "saw", "--date", "2026-03-02")
		assert.Equal(t, console.Done, got.status, got.err)
	}
}
