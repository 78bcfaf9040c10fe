package store

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func folder(t *testing.T, files ...File) (*Folder, string) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "shop")
	require.NoError(t, os.Mkdir(dir, 0o755))
	for _, f := range files {
		require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(dir, f.Name)), 0o755))
		require.NoError(t, os.WriteFile(filepath.Join(dir, f.Name), f.Data, 0o640))
	}
	s, err := OpenFolder(dir)
	require.NoError(t, err)
	t.Cleanup(func() { s.Close() })
	return s, dir
}

// Both stores keep the same promises.
func TestStores(t *testing.T) {
	one := File{Name: "system.yaml", Data: []byte("a")}
	disk, _ := folder(t, one)
	for name, s := range map[string]Store{"folder": disk, "memory": NewMemory(one)} {
		t.Run(name, func(t *testing.T) {
			v := Version(s, "system.yaml")
			require.NoError(t, s.Write("system.yaml", []byte("b"), v))
			assert.ErrorIs(t, s.Write("system.yaml", []byte("c"), v), ErrChanged, "an old version")
			assert.ErrorIs(t, s.Write("system.yaml", []byte("c"), ""), ErrChanged, "taken for new")
			assert.ErrorIs(t, s.Write("new.csv", []byte("c"), v), ErrChanged, "taken for old")
			require.NoError(t, s.Write("new.csv", []byte("d"), ""))
			got, err := s.Read("system.yaml")
			require.NoError(t, err)
			assert.Equal(t, "b", string(got))
			_, err = s.Read("other.csv")
			assert.ErrorIs(t, err, fs.ErrNotExist)
			names, err := s.Names()
			require.NoError(t, err)
			assert.Equal(t, []string{"new.csv", "system.yaml"}, names)
		})
	}
}

func TestNothingOutsideTheFolder(t *testing.T) {
	s, dir := folder(t, File{Name: "history/a.csv", Data: []byte("a")})
	out := filepath.Join(filepath.Dir(dir), "secret.csv")
	require.NoError(t, os.WriteFile(out, []byte("secret"), 0o644))
	require.NoError(t, os.Mkdir(filepath.Join(filepath.Dir(dir), "outside"), 0o755))
	for link, to := range map[string]string{"abs.csv": out, "rel.csv": "../secret.csv", "dir": "../outside", "loop.csv": "loop.csv"} {
		require.NoError(t, os.Symlink(to, filepath.Join(dir, link)))
	}
	names, err := s.Names()
	require.NoError(t, err)
	assert.Equal(t, []string{"history/a.csv"}, names)
	for _, name := range []string{"../secret.csv", "history/../../secret.csv", out, "abs.csv", "rel.csv", "dir/x.csv", "loop.csv",
		"./a.csv", ".hidden.csv", "a/b/c.csv", "", "history", `..\secret.csv`, "a\x00.csv"} {
		_, err := s.Read(name)
		assert.Error(t, err, "read %q", name)
		assert.Error(t, s.Write(name, []byte("x"), ""), "write %q", name)
	}
	data, err := os.ReadFile(out)
	require.NoError(t, err)
	assert.Equal(t, "secret", string(data))
	left, err := os.ReadDir(filepath.Join(filepath.Dir(dir), "outside"))
	require.NoError(t, err)
	assert.Empty(t, left)
}

func TestALinkInsideStaysALink(t *testing.T) {
	s, dir := folder(t, File{Name: "history/a.yaml", Data: []byte("a")})
	require.NoError(t, os.Symlink("history/a.yaml", filepath.Join(dir, "system.yaml")))
	require.NoError(t, s.Write("system.yaml", []byte("b"), VersionOf([]byte("a"))))
	info, err := os.Lstat(filepath.Join(dir, "system.yaml"))
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&fs.ModeSymlink)
	data, err := os.ReadFile(filepath.Join(dir, "history/a.yaml"))
	require.NoError(t, err)
	assert.Equal(t, "b", string(data))
}

// A write that fails leaves the old file whole, and nothing beside it.
func TestAWriteThatFails(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Log("root may write anywhere: a name that is too long stands for a full disk")
	}
	s, dir := folder(t, File{Name: "system.yaml", Data: []byte("a")})
	assert.Error(t, s.Write(strings.Repeat("x", 199)+"/a.csv", []byte("b"), ""))
	assert.Error(t, s.Write("nowhere/a.csv", []byte("b"), ""))
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, left, 1)
}

func TestModeIsKept(t *testing.T) {
	s, dir := folder(t, File{Name: "system.yaml", Data: []byte("a")})
	require.NoError(t, s.Write("system.yaml", []byte("b"), VersionOf([]byte("a"))))
	info, err := os.Stat(filepath.Join(dir, "system.yaml"))
	require.NoError(t, err)
	assert.Equal(t, fs.FileMode(0o640), info.Mode().Perm())
}

// What a killed program left an hour ago goes with the next write; what is fresh may
// be another's.
func TestStaleFilesGo(t *testing.T) {
	s, dir := folder(t, File{Name: "system.yaml", Data: []byte("a")})
	stale, fresh, other := filepath.Join(dir, unfinished+"0123456789abcdef"), filepath.Join(dir, unfinished+"fedcba9876543210"), filepath.Join(dir, unfinished+"mine")
	for _, f := range []string{stale, fresh, other} {
		require.NoError(t, os.WriteFile(f, nil, 0o644))
	}
	long := time.Now().Add(-2 * time.Hour)
	for _, f := range []string{stale, other} {
		require.NoError(t, os.Chtimes(f, long, long))
	}
	require.NoError(t, s.Write("new.csv", []byte("b"), ""))
	assert.NoFileExists(t, stale)
	assert.FileExists(t, fresh)
	assert.FileExists(t, other)
}

// A process that ends writes no more, and half of nothing.
func TestHold(t *testing.T) {
	s, dir := folder(t)
	s.Hold()
	go s.Write("late.csv", []byte("late"), "")
	time.Sleep(20 * time.Millisecond)
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, left)
}
