package talk

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct/systemfile"
	"lostair/readings"
)

// overwrite is a Write that is good enough for tests.
func overwrite(path string, data []byte, replace bool) error {
	if _, err := os.Stat(path); err == nil && !replace {
		return os.ErrExist
	}
	return os.WriteFile(path, data, 0o644)
}

// talked holds a conversation about the demo's shop, and gives what it said.
func talked(t *testing.T, path, said string, write func(string, []byte, bool) error) (string, error) {
	t.Helper()
	sys, list := systemfile.LoadFile("../../lostair/demo/system.yaml")
	require.NoError(t, list.Err())
	var out bytes.Buffer
	talk := Talk{System: sys, Readings: File{path, write}, Complaint: "weak at saw", Date: "2026-04-11", Units: sys.Units,
		In: strings.NewReader(said), Out: &out, Echo: true}
	err := talk.Run(t.Context())
	return out.String(), err
}

func TestTwoRoundsOnOneFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "r.csv")
	release, err := lock(path)
	require.NoError(t, err)
	_, err = talked(t, path, "25\n", overwrite)
	require.ErrorContains(t, err, "another round writes to")
	assert.NoFileExists(t, path)
	release()
	_, err = talked(t, path, "25\n", overwrite)
	require.NoError(t, err)
}

// A process that ends while a round works leaves no lock: it was told how to let go,
// and to do so twice is no harm.
func TestLettingGoEarly(t *testing.T) {
	path := filepath.Join(t.TempDir(), "r.csv")
	sys, list := systemfile.LoadFile("../../lostair/demo/system.yaml")
	require.NoError(t, list.Err())
	held := 0
	talk := Talk{System: sys, Readings: File{path, overwrite}, Complaint: "weak at saw", Date: "2026-04-11", Units: sys.Units,
		In: strings.NewReader(""), Out: &bytes.Buffer{}, Held: func(release func()) {
			held++
			assert.FileExists(t, lockName(path))
			release()
			assert.NoFileExists(t, lockName(path))
			again, err := lock(path) // somebody else's by now
			require.NoError(t, err)
			t.Cleanup(again)
		}}
	require.NoError(t, talk.Run(t.Context()))
	assert.Equal(t, 1, held)
	assert.FileExists(t, lockName(path), "the other's lock stays")
}

// On a full disk the answer is kept, and written once there is room.
func TestAFullDisk(t *testing.T) {
	path := filepath.Join(t.TempDir(), "r.csv")
	full := 0
	write := func(p string, data []byte, replace bool) error {
		if bytes.Contains(data, []byte("25.1")) && full < 2 {
			full++
			return fmt.Errorf("r.csv can't be written: %w", syscall.ENOSPC)
		}
		return overwrite(p, data, replace)
	}
	out, err := talked(t, path, "25.1\n\n\n", write)
	require.NoError(t, err)
	assert.Equal(t, 2, strings.Count(out, "no space left on device"))
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, 1, strings.Count(string(data), ",25.1,"))

	full = 0
	_, err = talked(t, filepath.Join(t.TempDir(), "r.csv"), "25.1\nquit\n", write)
	require.ErrorContains(t, err, "the last answer is not written down")
	assert.True(t, errors.Is(err, syscall.ENOSPC))
}

// What an editor saves while a question is open stays, to the byte.
func TestAnEditorMeanwhile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "r.csv")
	edited := []byte("# Complaint: weak at saw\r\n# mine\r\nopen;point;quantity;value;unit\r\nall;M1;static_pressure;-912;Pa\r\n")
	first := true
	write := func(p string, data []byte, replace bool) error {
		err := overwrite(p, data, replace)
		if first { // the editor saves right after the round has made its file
			first = false
			return errors.Join(err, os.WriteFile(p, edited, 0o644))
		}
		return err
	}
	_, err := talked(t, path, "25.1\n", write)
	require.NoError(t, err)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.True(t, bytes.HasPrefix(data, edited), "%q", data)
	assert.Equal(t, "saw;saw;velocity;25.1;m/s\r\n", string(data[len(edited):]))
}

// Each row that was accepted can be taken back, and the file is then as it was.
func TestTakenBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "r.csv")
	_, err := talked(t, path, "25.1\n-1200\n", overwrite)
	require.NoError(t, err)
	two, err := os.ReadFile(path)
	require.NoError(t, err)
	row := readings.Row{Point: "M1", Typed: "-900", Unit: "Pa", Open: readings.Open{All: true}}
	three, err := readings.Append(two, row, 0)
	require.NoError(t, err)
	back, err := readings.RemoveLast(three, bytes.Count(three, []byte("\n")))
	require.NoError(t, err)
	assert.Equal(t, string(two), string(back))
}
