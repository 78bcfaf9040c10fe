package systemfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The catalogue of mistakes: beside each broken file stands the whole of what
// must be said of it. A file whose messages are all warnings must load.
func TestBad(t *testing.T) {
	files, err := filepath.Glob("testdata/bad/*.yaml")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 35, "the catalogue is gone")
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		t.Run(name, func(t *testing.T) {
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			want, err := os.ReadFile("testdata/bad/" + name + ".want")
			require.NoError(t, err)
			require.NotEmpty(t, want)
			s, problems := Load(data, name)
			assert.Equal(t, string(want), problems.Error()+"\n")
			assert.Equal(t, problems.Err() == nil, s != nil)
		})
	}
	wants, err := filepath.Glob("testdata/bad/*.want")
	require.NoError(t, err)
	assert.Len(t, wants, len(files), "each .want belongs to a .yaml")
}
