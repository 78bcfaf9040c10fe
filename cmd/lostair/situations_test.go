//go:build unix

package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
	"lostair/cmd/internal/disk"
)

// built is the program: this test binary under the program's name, see TestMain.
func built(t *testing.T) string {
	t.Helper()
	exe, err := os.Executable()
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "lostair")
	require.NoError(t, os.Symlink(exe, path))
	return path
}

// situation is how a process finds the world, and what must come of it.
type situation struct {
	name   string
	shell  string // run by sh; $L is the program
	env    []string
	status int
	out    string // in standard output
	err    string // in standard error
}

var situations = []situation{
	{"standard output closed", `"$L" diagnose system.yaml readings.csv >&-`, nil, 2, "", "standard output is closed"},
	{"a full device", `"$L" diagnose system.yaml readings.csv >/dev/full`, nil, 2, "", "no space left"},
	{"nobody wants the output", `"$L" diagnose system.yaml readings.csv >/dev/null`, nil, 0, "", ""},
	{"all streams null, as under a daemon", `"$L" diagnose system.yaml readings.csv <>/dev/null >&0 2>&0`, nil, 0, "", ""},
	{"the reader goes away", `"$L" sheet system.yaml 2>said | head -c 10; test ! -s said`, nil, 0, "<!", ""},
	{"standard input closed", `"$L" diagnose system.yaml readings.csv <&-`, nil, 0, "", ""},
	{"standard input closed and wanted", `"$L" diagnose system.yaml - <&-`, nil, 2, "", ""},
	{"empty standard input", `"$L" diagnose system.yaml - </dev/null`, nil, 2, "", "the file is empty"},
	{"standard error closed", `"$L" diagnose system.yaml nowhere.csv 2>&-`, nil, 2, "", ""},
	{"no environment", `env -i "$L" diagnose system.yaml readings.csv`, nil, 0, "", ""},
	{"no home", `"$L" diagnose system.yaml readings.csv`, []string{"HOME="}, 0, "", ""},
	{"TMPDIR gone", `"$L" diagnose system.yaml readings.csv -o r.txt`, []string{"TMPDIR=/no/such"}, 0, "", ""},
	{"an odd language", `"$L" diagnose system.yaml readings.csv`, []string{"LANG=xx_YY.BROKEN", "LC_ALL=\x01"}, 0, "", ""},
	{"a strange terminal", `"$L" diagnose system.yaml readings.csv`, []string{"TERM=nonsense", "COLUMNS=-5"}, 0, "", ""},
	{"a mask that forbids all", `umask 777; "$L" diagnose system.yaml readings.csv -o r.txt; test -f r.txt`, nil, 0, "", ""},
	{"a folder that is gone", `mkdir gone; cd gone; rmdir ../gone; "$L" check ../system.yaml 2>&1; exit 0`, nil, 0, "", ""},
	{"a system file of the kernel", `"$L" check /dev/zero`, nil, 2, "", ""},
	{"a readings file of the kernel", `"$L" diagnose system.yaml /dev/zero`, nil, 2, "", ""},
	{"the null device as a system", `"$L" check /dev/null`, nil, 2, "", ""},
	{"output onto a device", `"$L" diagnose system.yaml readings.csv -o /dev/null`, nil, 2, "", "no ordinary file"},
	{"output onto a pipe", `mkfifo p; "$L" diagnose system.yaml readings.csv -o p`, nil, 2, "", "no ordinary file"},
	{"output through a link", `echo old >real; ln -s real l; "$L" diagnose system.yaml readings.csv -o l --force && test -L l && grep -q . real`, nil, 0, "", ""},
	{"output through a link that leads nowhere", `ln -s nowhere l; "$L" diagnose system.yaml readings.csv -o l`, nil, 2, "", "leads nowhere"},
	{"a link to itself", `ln -s l l; "$L" check l`, nil, 2, "", ""},
	{"a file name that controls", `cp system.yaml "$(printf 'a\033[2Jb')"; "$L" check "$(printf 'a\033[2Jb')"`, nil, 0, "", ""},
	{"a folder name that controls", `"$L" new "$(printf 'a\033[2Jb')"`, nil, 0, "", ""},
	{"a demo folder name that controls", `"$L" demo "$(printf 'c\033]0;x\007d')"`, nil, 0, "", ""},
	{"two runs with one output", `"$L" diagnose system.yaml readings.csv --format html -o r.html --force & "$L" diagnose system.yaml readings.csv --format html -o r.html --force; wait; grep -q '</html>' r.html`, nil, 0, "", ""},
	{"a file that may not be read", `printf x >shut; chmod 0 shut; if [ "$(id -u)" = 0 ]; then exit 2; fi; "$L" check shut`, nil, 2, "", ""},
	{"files from 1970", `touch -d 1970-01-01T00:00:00Z system.yaml readings.csv; "$L" diagnose system.yaml readings.csv`, nil, 0, "", ""},
	{"files from the future", `touch -d 2199-01-01T00:00:00Z system.yaml readings.csv; "$L" diagnose system.yaml readings.csv`, nil, 0, "", ""},
	{"a clock elsewhere", `"$L" check system.yaml readings.csv`, []string{"TZ=Nowhere/Land"}, 0, "", ""},
	{"a narrow terminal", `"$L" diagnose system.yaml readings.csv`, []string{"COLUMNS=20"}, 0, "", ""},
	{"a memory limit of Go's that is no number", `"$L" check system.yaml 2>&1; true`, []string{"GOMEMLIMIT=1"}, 0, "", ""},
	{"one file open at most", `ulimit -n 8; "$L" diagnose system.yaml readings.csv -o r.txt && test -s r.txt`, nil, 0, "", ""},
	{"no room for a file of any size", `ulimit -f 0; trap '' XFSZ; "$L" diagnose system.yaml readings.csv -o r.txt; s=$?; test ! -e r.txt && exit $s`, nil, 2, "", "r.txt can't be written: file too large"},
	{"a folder that may not be written", `mkdir shut; chmod 555 shut; if [ "$(id -u)" = 0 ]; then exit 2; fi; "$L" diagnose system.yaml readings.csv -o shut/r.txt`, nil, 2, "", ""},
	{"output named like an option", `"$L" diagnose system.yaml readings.csv -o --force; test -f ./--force && rm ./--force`, nil, 0, "", ""},
	{"output with a blank and a line end", `"$L" diagnose system.yaml readings.csv -o "a b
c" && test -f "a b
c"`, nil, 0, "", ""},
	{"an output that is an input under another name", `ln system.yaml other.yaml; "$L" diagnose system.yaml readings.csv -o other.yaml --force`, nil, 2, "", "can't be the output too"},
	{"an output that is an input behind a link", `ln -s readings.csv l.csv; "$L" diagnose system.yaml readings.csv -o l.csv --force`, nil, 2, "", "can't be the output too"},
	{"readings from a pipe", `mkfifo p; cat readings.csv >p & "$L" diagnose system.yaml p`, nil, 0, "", ""},
	{"readings from standard input", `"$L" diagnose system.yaml - <readings.csv`, nil, 0, "", ""},
	{"a page with its output closed", `"$L" sheet system.yaml >&-`, nil, 2, "", "standard output is closed"},
	{"verify onto a full device", `"$L" verify system.yaml readings.csv >/dev/full`, nil, 2, "", "no space left"},
	{"track onto a full device", `"$L" track system.yaml readings.csv readings.csv >/dev/full`, nil, 2, "", "no space left"},
	{"two different runs with one new output", `"$L" plan system.yaml -o r & "$L" expect system.yaml -o r; wait; test -s r`, nil, 0, "", ""},
	{"show of a result that never ends", `"$L" show /dev/zero`, nil, 2, "", "is larger than"},
	{"a round without answers", `"$L" round system.yaml new.csv --weak saw </dev/null; grep -q Complaint new.csv`, nil, 0, "", ""},
	{"a round with its input closed", `"$L" round system.yaml new.csv --weak saw <&-; test -f new.csv`, nil, 0, "", ""},
	{"a round whose answers control", `printf '\033[2J\n-1200\nquit\n' | "$L" round system.yaml new.csv --weak saw; grep -qv "$(printf '\033')" new.csv`, nil, 0, "", ""},
	{"a round whose answers never end", `yes 5 | head -c 300 | "$L" round system.yaml new.csv --weak saw >/dev/null; test -s new.csv`, nil, 0, "", ""},
	{"a round into a picture", `printf '\211PNG\r\n' >p.csv; cp p.csv q; "$L" round system.yaml p.csv --weak saw; s=$?; cmp -s p.csv q && exit $s`, nil, 2, "", "p.csv"},
	{"a round with a device for its file", `"$L" round system.yaml /dev/null --weak saw </dev/null`, nil, 2, "", "no ordinary file"},
	{"a round with a pipe for its file", `mkfifo p; "$L" round system.yaml p --weak saw </dev/null`, nil, 2, "", "no ordinary file"},
	{"two rounds in one file", `mkfifo in; "$L" round system.yaml r.csv --weak saw <in >/dev/null & exec 3>in; until grep -qs Complaint r.csv; do sleep 0.05; done; "$L" round system.yaml r.csv --weak saw </dev/null; s=$?; echo quit >&3; exec 3>&-; wait; exit $s`, nil, 2, "", "another round writes to"},
	{"a stopped run", `"$L" diagnose system.yaml readings.csv --timeout 1ms --format json`, nil, 4, `"unfinished": true`, "lostair: stopped"},
	{"a stopped run with an output", `"$L" diagnose system.yaml readings.csv --timeout 1ms -o r.txt; s=$?; test -s r.txt && exit $s`, nil, 4, "", "lostair: stopped; what is known so far is in r.txt"},
	{"a round whose step takes too long", `printf '\055900\nquit\n' | "$L" round system.yaml new.csv --weak saw --timeout 1ns; s=$?; grep -q Complaint new.csv && exit $s`, nil, 4, "", "lostair: stopped; to work out the next question took longer than 1ns; everything is in new.csv"},
	{"a round whose steps take their time", `echo quit | "$L" round system.yaml new.csv --weak saw --timeout 1m`, nil, 0, "", ""},
	{"very long arguments", `"$L" check "$(head -c 5000 /dev/zero | tr '\0' a)"`, nil, 2, "", "file name too long"},
}

func TestSituations(t *testing.T) {
	program := built(t)
	for _, c := range situations {
		t.Run(c.name, func(t *testing.T) {
			t.Chdir(t.TempDir())
			require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "new", ".").status)
			cmd := exec.Command("sh", "-c", c.shell)
			cmd.Env = append(append(os.Environ(), c.env...), "L="+program)
			var out, errs bytes.Buffer
			cmd.Stdout, cmd.Stderr = &out, &errs
			var exit *exec.ExitError
			if err := cmd.Run(); err != nil {
				require.ErrorAs(t, err, &exit)
			}
			require.Equal(t, c.status, cmd.ProcessState.ExitCode(), "%.300s%.600s", out.String(), errs.String())
			require.Contains(t, out.String(), c.out)
			require.Contains(t, errs.String(), c.err)
			for _, said := range []string{out.String(), errs.String()} {
				require.NotContains(t, said, "goroutine ")
				require.NotContains(t, said, "\x1b")
			}
			requireNothingHalf(t)
		})
	}
}

// requireNothingHalf holds that no file that was being written is left here.
func requireNothingHalf(t *testing.T) {
	t.Helper()
	left, err := filepath.Glob(disk.Unfinished + "*")
	require.NoError(t, err)
	require.Empty(t, left)
}
