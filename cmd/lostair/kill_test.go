//go:build unix

package main

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
	"lostair/cmd/internal/disk"
	"lostair/readings"
)

// writers are the commands that write one file or, into a folder, several.
var writers = []string{
	"diagnose system.yaml readings.csv --format html -o out --force",
	"verify system.yaml readings.csv --format html -o out --force",
	"track system.yaml readings.csv readings.csv --format html -o out --force",
	"plan system.yaml --count 3 --format csv -o out --force",
	"whatif system.yaml --set collector.inlet=160 -o out --force",
	"expect system.yaml --format csv -o out --force",
	"sheet system.yaml -o out --force",
	"show result.json -o out --force",
	"sources -o out --force",
	"schema system -o out --force",
	"new folder",
	"demo folder",
	"demo folder --ports 12",
}

var allStops = []syscall.Signal{syscall.SIGTERM, syscall.SIGINT, hangUp(), syscall.SIGKILL}

// hangUp is SIGHUP, but where that is ignored, as under nohup: there one that comes
// before the program listens is lost, and the test would wait for ever.
func hangUp() syscall.Signal {
	if signal.Ignored(syscall.SIGHUP) {
		return syscall.SIGTERM
	}
	return syscall.SIGHUP
}

// moments is how many random moments a test of signals tries.
func moments(short int) int {
	if os.Getenv("LOSTAIR_LONG") != "" {
		return 500
	}
	return short
}

// Commands that write, ended at any moment by each signal: every file is the old
// one or the new one, whole. After a signal that can be caught nothing half written
// is left, and of a folder's files all are there or none.
func TestEndedWhileWriting(t *testing.T) {
	program := built(t)
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "new", ".").status)
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "diagnose", "system.yaml", "readings.csv", "--format", "json", "-o", "result.json").status)
	given := snapshot(t)
	whole := make([]map[string]string, len(writers))
	takes := make([]time.Duration, len(writers))
	run := func(line string) *exec.Cmd { return exec.Command(program, strings.Fields(line)...) }
	clean := func() {
		require.NoError(t, os.RemoveAll("folder"))
		require.NoError(t, os.WriteFile("out", []byte("old"), 0o644))
	}
	for i, line := range writers {
		clean()
		begun := time.Now()
		said, err := run(line).CombinedOutput()
		require.NoError(t, err, "%s\n%s", line, said)
		whole[i], takes[i] = snapshot(t), time.Since(begun)
	}
	random := rand.New(rand.NewPCG(1, 2))
	for k := range moments(len(writers)) {
		i, sig := k%len(writers), allStops[random.IntN(len(allStops))]
		clean()
		before := snapshot(t)
		c := run(writers[i])
		require.NoError(t, c.Start())
		time.Sleep(time.Duration(random.Int64N(int64(takes[i]) * 5 / 4)))
		end(t, c, sig)
		left := snapshot(t)
		if sig == syscall.SIGKILL {
			left = withoutHalves(left)
		}
		for name, text := range left {
			if text != before[name] || before[name] == "" {
				assert.Equal(t, whole[i][name], text, "%v of %q: %s is neither the old file nor the new", sig, writers[i], name)
			}
		}
		for name := range given {
			assert.Contains(t, left, name)
		}
		if sig != syscall.SIGKILL && len(left) != len(before) {
			assert.Len(t, left, len(whole[i]), "%v of %q left some of the files", sig, writers[i])
		}
		removeHalves(t)
	}
}

// end sends a process a signal and waits for it; it may have ended by itself.
func end(t *testing.T, c *exec.Cmd, sig syscall.Signal) {
	t.Helper()
	if err := c.Process.Signal(sig); err != nil {
		require.ErrorIs(t, err, os.ErrProcessDone)
	}
	var exit *exec.ExitError
	if err := c.Wait(); err != nil {
		require.True(t, errors.As(err, &exit), err)
	}
}

// withoutHalves are the files but those that were being written.
func withoutHalves(files map[string]string) map[string]string {
	out := map[string]string{}
	for name, text := range files {
		if !strings.HasPrefix(filepath.Base(name), disk.Unfinished) {
			out[name] = text
		}
	}
	return out
}

func removeHalves(t *testing.T) {
	t.Helper()
	for name := range snapshot(t) {
		if strings.HasPrefix(filepath.Base(name), disk.Unfinished) {
			require.NoError(t, os.Remove(name))
		}
	}
}

// A round ended at any moment by a signal that can be caught, while it works or
// while it waits for an answer, leaves its file whole and nothing beside it.
func TestARoundThatIsEnded(t *testing.T) {
	program := built(t)
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "new", ".").status)
	sys := loadEmbedded(t, systemFile)
	random := rand.New(rand.NewPCG(3, 4))
	for k := range moments(6) {
		os.Remove("round.csv")
		sig := allStops[k%3]
		c := exec.Command(program, "round", systemFile, "round.csv", "--weak", "saw", "--date", "2026-04-11")
		typed, err := c.StdinPipe() // stays open: nobody types
		require.NoError(t, err)
		var out bytes.Buffer
		c.Stdout = &out
		require.NoError(t, c.Start())
		_, err = io.WriteString(typed, strings.Repeat("25\nright\nno\n-1100\nright\n", random.IntN(3)))
		require.NoError(t, err)
		time.Sleep(time.Duration(random.IntN(900)) * time.Millisecond)
		begun := time.Now()
		end(t, c, sig)
		assert.Less(t, time.Since(begun), 5*time.Second)
		files, err := os.ReadDir(".")
		require.NoError(t, err)
		for _, f := range files {
			assert.Contains(t, []string{systemFile, readingsFile, "round.csv"}, f.Name(), "%v left it\n%s", sig, out.String())
		}
		data, err := os.ReadFile("round.csv")
		if os.IsNotExist(err) {
			continue
		}
		require.NoError(t, err)
		assert.True(t, bytes.HasSuffix(data, []byte("\n")), "%s", data)
		if s, list := readings.Read(bytes.NewReader(data), "round.csv", sys.Units); len(s.Rows)+len(s.Looks) > 0 {
			assert.NoError(t, list.Err(), "%s", data)
		}
	}
}

// The bench page's program, ended at any moment while it writes a file after the
// other: all are whole, and after a signal that can be caught nothing stands beside them.
func TestServeThatIsEnded(t *testing.T) {
	program := built(t)
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	random := rand.New(rand.NewPCG(5, 6))
	wrote := 0
	for k := range moments(4) {
		t.Chdir(t.TempDir())
		require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "new", ".").status)
		given := snapshot(t)
		sig := allStops[k%len(allStops)]
		c := exec.Command(program, "serve", ".", "--port", "0", "--no-browser")
		out, err := c.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, c.Start())
		link, err := bufio.NewReader(out).ReadString('\n')
		require.NoError(t, err)
		jar, err := cookiejar.New(nil)
		require.NoError(t, err)
		page := &http.Client{Jar: jar}
		r, err := page.Get(strings.TrimSpace(link))
		require.NoError(t, err)
		r.Body.Close()
		gone := make(chan struct{})
		go func() {
			defer close(gone)
			for range 90 { // each begins a round, in a file of its own
				r, err := page.PostForm("http://"+r.Request.URL.Host+"/round", url.Values{"complaint": {"everything is weak"}})
				if err != nil {
					return
				}
				r.Body.Close()
			}
		}()
		time.Sleep(time.Duration(random.IntN(400)) * time.Millisecond)
		begun := time.Now()
		end(t, c, sig)
		assert.Less(t, time.Since(begun), 5*time.Second)
		<-gone
		page.CloseIdleConnections()
		left := snapshot(t)
		if sig == syscall.SIGKILL {
			left = withoutHalves(left)
		}
		for name, text := range left {
			if was, ok := given[name]; ok {
				require.Equal(t, was, text, name)
				continue
			}
			wrote++
			require.Regexp(t, `^round-[0-9-]+\.csv$`, name, "%v left it", sig)
			require.True(t, strings.HasPrefix(text, "#") && strings.HasSuffix(text, "\n"), "%v: %q", sig, text)
		}
		require.GreaterOrEqual(t, len(left), len(given))
	}
	assert.NotZero(t, wrote, "nothing was being written when it ended")
}
