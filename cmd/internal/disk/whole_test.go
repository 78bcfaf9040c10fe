package disk

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWriteWhole(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.txt")
	require.NoError(t, WriteWhole(path, []byte("one"), false))
	assert.EqualError(t, WriteWhole(path, []byte("two"), false), path+" exists; give another name, or --force to replace it")
	holds(t, path, "one")

	require.NoError(t, os.Chmod(path, 0o600))
	require.NoError(t, WriteWhole(path, []byte("two"), true))
	holds(t, path, "two")
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm(), "a file that is replaced keeps its mode")

	// A link stays a link; one that leads nowhere is told.
	link := filepath.Join(dir, "link.txt")
	require.NoError(t, os.Symlink("a.txt", link))
	assert.ErrorContains(t, WriteWhole(link, []byte("three"), false), "exists")
	require.NoError(t, WriteWhole(link, []byte("three"), true))
	holds(t, path, "three")
	kept, err := os.Readlink(link)
	require.NoError(t, err)
	assert.Equal(t, "a.txt", kept)
	stray := filepath.Join(dir, "stray.txt")
	require.NoError(t, os.Symlink("nowhere.txt", stray))
	assert.ErrorContains(t, WriteWhole(stray, []byte("x"), true), "is a link that leads nowhere")

	assert.ErrorContains(t, WriteWhole(dir, []byte("x"), true), "is a folder")
	assert.ErrorContains(t, WriteWhole(filepath.Join(path, "b.txt"), []byte("x"), true), "can't be written: not a directory")
	assert.ErrorContains(t, WriteWhole(filepath.Join(dir, "no", "b.txt"), []byte("x"), true), "can't be written: no such file or directory")

	left, err := filepath.Glob(filepath.Join(dir, ".lostair-*"))
	require.NoError(t, err)
	assert.Empty(t, left, "nothing half written stays behind")
}

func TestReadOnlyFolder(t *testing.T) {
	if os.Getuid() == 0 {
		t.Skip("root may write anywhere")
	}
	dir := t.TempDir()
	require.NoError(t, os.Chmod(dir, 0o555))
	path := filepath.Join(dir, "a.txt")
	assert.EqualError(t, WriteWhole(path, []byte("x"), false), path+" can't be written: permission denied")
}

// What a killed run left an hour ago is taken away by the next that writes there;
// what is fresh may be another run's.
func TestStaleFilesGo(t *testing.T) {
	t.Chdir(t.TempDir())
	stale, fresh, other, ahead := Unfinished+"0123456789abcdef", Unfinished+"fedcba9876543210", Unfinished+"mine", Unfinished+"00000000000000ff"
	for _, f := range []string{stale, fresh, other, ahead} {
		require.NoError(t, os.WriteFile(f, nil, 0o644))
	}
	long := time.Now().Add(-2 * staleAfter)
	for _, f := range []string{stale, other} {
		require.NoError(t, os.Chtimes(f, long, long))
	}
	later := time.Now().Add(50 * 365 * 24 * time.Hour) // as where the clock has gone back to 1970
	require.NoError(t, os.Chtimes(ahead, later, later))
	require.NoError(t, WriteWhole("new.txt", []byte("new"), false))
	assert.NoFileExists(t, stale)
	assert.FileExists(t, fresh)
	assert.FileExists(t, other)
	assert.FileExists(t, ahead)
}

// holds requires a file to hold a text.
func holds(t *testing.T, path, want string) {
	t.Helper()
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, want, string(got))
}
