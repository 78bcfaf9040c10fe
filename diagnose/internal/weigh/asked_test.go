package weigh

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every port of a plant of hundreds is asked whether it is too small by design; of
// thousands some, evenly, and each that was read.
func TestPortsAsked(t *testing.T) {
	none := func(int) bool { return false }
	require.Len(t, portsAsked(1000, 3050, none), 1000)
	require.Empty(t, portsAsked(0, 0, none))
	some := portsAsked(5000, 5001, none)
	require.Len(t, some, mostPortsSolved/5001)
	require.Less(t, some[0], 10)
	require.Greater(t, some[len(some)-1], 4980)
	read := func(i int) bool { return i == 7 || i == 4999 }
	require.False(t, slices.ContainsFunc(some, read))
	with := portsAsked(5000, 5001, read)
	require.Len(t, with, len(some)+2)
	require.Contains(t, with, 7)
	require.Contains(t, with, 4999)
	require.True(t, slices.IsSorted(with))
}
