//go:build unix

package disk

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a child process of these tests is to do, and where.
const (
	childTask = "LOSTAIR_TEST_TASK"
	childPath = "LOSTAIR_TEST_PATH"
)

const largeFile = 2 << 20 // bytes

// TestChild is no test: it is what the child processes run.
func TestChild(t *testing.T) {
	path := os.Getenv(childPath)
	switch os.Getenv(childTask) {
	case "":
		t.Skip("only in a child process")
	case "full": // a disk on which no file may grow beyond 4 KiB
		signal.Ignore(syscall.SIGXFSZ)
		require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: 4096, Max: 4096}))
		fmt.Println("said:", WriteWhole(path, bytes.Repeat([]byte("new"), largeFile/3), true))
	case "nobody": // a user who may not write here
		if os.Getuid() == 0 {
			require.NoError(t, syscall.Setgid(65534))
			require.NoError(t, syscall.Setuid(65534))
		}
		fmt.Println("said:", WriteWhole(path, []byte("new"), true))
	case "shy": // a user whose files are nobody else's business
		syscall.Umask(0o077)
		fmt.Println("said:", WriteWhole(path, []byte("new"), false))
	case "forever":
		for i := 0; ; i++ {
			_ = WriteWhole(path, bytes.Repeat([]byte{'a' + byte(i%2)}, largeFile), true)
		}
	}
}

func child(task, path string) *exec.Cmd {
	c := exec.Command(os.Args[0], "-test.run", "^TestChild$", "-test.v")
	c.Env = append(os.Environ(), childTask+"="+task, childPath+"="+path)
	return c
}

// A disk that fills up, and a folder that is not ours: an error that says so,
// the old file as it was, nothing half written left behind.
func TestOldFileStaysIfWritingFails(t *testing.T) {
	for task, want := range map[string]string{"full": "file too large", "nobody": "permission denied"} {
		t.Run(task, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "report.html")
			require.NoError(t, os.WriteFile(path, []byte("old"), 0o644))
			if task == "nobody" {
				require.NoError(t, os.Chmod(dir, 0o555))
				defer os.Chmod(dir, 0o755) //nolint:errcheck // for the clean-up
			}
			out, _ := child(task, path).CombinedOutput() // nobody can't clean up after the test binary either
			assert.Contains(t, string(out), "said: "+path+" can't be written: "+want)
			holds(t, path, "old")
			files, err := os.ReadDir(dir)
			require.NoError(t, err)
			assert.Len(t, files, 1, "nothing half written stays behind")
		})
	}
}

// A new file is for those whom the user's mask lets read it; what is replaced
// keeps its mode.
func TestNewFilesHeedTheMask(t *testing.T) {
	path := filepath.Join(t.TempDir(), "report.html")
	out, err := child("shy", path).CombinedOutput()
	require.NoError(t, err, string(out))
	require.Contains(t, string(out), "said: <nil>")
	holds(t, path, "new")
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
}

// A process that is killed while it writes leaves one whole file or the other.
func TestKilledWhileWriting(t *testing.T) {
	path := filepath.Join(t.TempDir(), "report.html")
	require.NoError(t, os.WriteFile(path, bytes.Repeat([]byte{'a'}, largeFile), 0o644))
	for i := range 6 {
		c := child("forever", path)
		require.NoError(t, c.Start())
		time.Sleep(time.Duration(40+17*i) * time.Millisecond)
		require.NoError(t, c.Process.Kill())
		_ = c.Wait() // it was killed
		got, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Len(t, got, largeFile)
		require.Equal(t, largeFile, bytes.Count(got, got[:1]), "a mixture")
	}
}
