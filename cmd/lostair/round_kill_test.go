package main

import (
	"bytes"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
	"lostair/readings"
)

// A round that is killed at any moment has lost nothing that it had accepted, has
// doubled nothing, and goes on where it was.
func TestARoundThatIsKilled(t *testing.T) {
	times := 2
	if os.Getenv("LOSTAIR_LONG") != "" {
		times = 500
	}
	exe, err := os.Executable()
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "demo", "shop").status)
	sys := loadEmbedded(t, "shop/system.yaml")
	r := rand.New(rand.NewPCG(1, 2))
	before := 0
	for i := range times {
		if i%20 == 0 { // a new round, as one that knows enough asks nothing
			os.Remove("round.csv")
			before = 0
		}
		var out bytes.Buffer
		cmd := exec.Cmd{Path: exe, Args: []string{"lostair", "round", "shop/system.yaml", "round.csv", "--weak", "spindle", "--date", "2026-04-11"},
			Stdin: strings.NewReader(strings.Repeat("-1148\nright\n25\nright\nno\nmore\n", 50)), Stdout: &out, Stderr: &out}
		require.NoError(t, cmd.Start())
		time.Sleep(time.Duration(r.IntN(1500)) * time.Millisecond)
		require.NoError(t, cmd.Process.Kill())
		_ = cmd.Wait()
		data, err := os.ReadFile("round.csv")
		if os.IsNotExist(err) {
			require.Zero(t, before)
			continue
		}
		require.NoError(t, err)
		s, list := readings.Read(bytes.NewReader(data), "round.csv", sys.Units)
		rows := len(s.Rows) + len(s.Looks)
		if rows > 0 {
			require.NoError(t, list.Err(), "%s", data)
		}
		accepted := strings.Count(out.String(), "sound shops") + strings.Count(out.String(), ": yes.") + strings.Count(out.String(), ": no.")
		assert.GreaterOrEqual(t, rows, before+accepted, "kill %d:\n%s\n%s", i, out.String(), data)
		assert.True(t, bytes.HasSuffix(data, []byte("\n")))
		before = rows
	}
}
