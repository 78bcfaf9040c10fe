// Package golden compares what a test got with what is checked in. It is
// imported by tests only.
//
// Run the tests with UPDATE_GOLDEN=1 in the environment to write what they got
// instead; then read the difference before you commit it. It is a variable and
// not a flag because "go test ./..." hands a flag to every package, and those
// that don't know it fail.
package golden

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Update says whether goldens are to be written.
func Update() bool { return os.Getenv("UPDATE_GOLDEN") == "1" }

// Check fails the test if the file at path does not hold got.
func Check(t *testing.T, path string, got []byte) {
	t.Helper()
	if Update() {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, got, 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "write it with UPDATE_GOLDEN=1 go test ./...")
	require.Equal(t, string(want), string(got), "%s differs; if the new output is right, run UPDATE_GOLDEN=1 go test ./...", path)
}
