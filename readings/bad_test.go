package readings

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/readings/units"
	"lostair/report/golden"
)

// TestBadFiles is the catalogue of mistakes: beside each file of
// testdata/bad stands what is said about it, with places.
func TestBadFiles(t *testing.T) {
	files, err := filepath.Glob("testdata/bad/*.csv")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 25, "the catalogue has moved")
	for _, path := range files {
		name := strings.TrimSuffix(filepath.Base(path), ".csv")
		t.Run(name, func(t *testing.T) {
			s, list := LoadFile(path, units.Metric)
			require.Error(t, list.Err())
			assert.Nil(t, s)
			for i := range list {
				assert.NotEmpty(t, list[i].Do)
				list[i].File = name + ".csv"
			}
			golden.Check(t, "testdata/bad/"+name+".want", []byte(list.Error()+"\n"))
		})
	}
	wants, err := filepath.Glob("testdata/bad/*.want")
	require.NoError(t, err)
	assert.Len(t, wants, len(files), "an expectation has lost its file")
}
