package systemfile

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// FuzzLoad: whatever stands in a file, loading it ends in a System or in a
// reason, never in a panic; and a System that loads can be written and loads
// again as the same. Allowed to differ: places, and the last bit of a
// percentage.
func FuzzLoad(f *testing.F) {
	for _, pattern := range []string{"testdata/good/*.yaml", "testdata/bad/*.yaml"} {
		files, err := filepath.Glob(pattern)
		require.NoError(f, err)
		require.NotEmpty(f, files, pattern)
		for _, file := range files {
			data, err := os.ReadFile(file)
			require.NoError(f, err)
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, problems := Load(data, "f")
		require.Equal(t, s == nil, problems.Err() != nil)
		if s == nil {
			return
		}
		file := Marshal(s)
		back, problems := Load(file, "f")
		require.NoError(t, problems.Err(), string(file))
		assert.Equal(t, string(file), string(Marshal(back)))
	})
}
