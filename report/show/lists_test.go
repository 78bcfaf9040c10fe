package show

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// One thing is not several.
func TestPlural(t *testing.T) {
	require.Equal(t, "1 reading", Plural(1, "reading"))
	require.Equal(t, "2 readings", Plural(2, "reading"))
}
