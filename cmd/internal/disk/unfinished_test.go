package disk

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A process that ends early releases its locks and removes what it has half written.
func TestNothingStaysOfAnEarlyEnd(t *testing.T) {
	half := filepath.Join(t.TempDir(), Unfinished+"0123456789abcdef")
	require.NoError(t, os.WriteFile(half, nil, 0o644))
	files := &fileSet{names: map[string]bool{half: true}}
	let := 0
	files.hold(func() { let++ })
	files.hold(func() { let++ })
	files.removeAll()
	assert.Equal(t, 2, let)
	assert.NoFileExists(t, half)
}
