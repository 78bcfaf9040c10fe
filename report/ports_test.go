package report

import (
	"testing"

	"lostair/report/show"

	"github.com/stretchr/testify/require"
)

// A port that is short where no one runs it so is not short by design, since that
// would contradict the answer.
func TestShortByDesignIsOfSettingsInUse(t *testing.T) {
	x := 600.0
	p := Port{Need: 650, Expected: &x, Flow: &show.Interval{Value: 500, Low: 480, High: 520}}
	require.Equal(t, Crowded, p.State())
	p.InUse = true
	require.Equal(t, ByDesign, p.State())
	x = 700
	require.Equal(t, Short, p.State())
}
