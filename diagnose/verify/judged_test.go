package verify

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A line passes or fails where it is at least 95 % sure, and is not shown between.
func TestALineIsDecidedAt95Percent(t *testing.T) {
	for holds, want := range map[float64]Outcome{1: Pass, 0.951: Pass, 0.949: NotShown, 0.8: NotShown, 0.5: NotShown,
		0.2: NotShown, 0.051: NotShown, 0.049: Fail, 0: Fail} {
		require.Equal(t, want, judged(holds), "%g", holds)
	}
}
