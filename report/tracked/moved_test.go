package tracked

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/report/show"
)

// What has gone since the first survey is less than at first, and no negative leak.
func TestALeakThatHasGoneIsLess(t *testing.T) {
	r := Series{Name: "leak in drop", Gauge: "leak-area"}
	s := Signal{Seen: "2026-04-01", Sudden: true, Began: [3]string{"2026-04-01", "2026-04-01", "2026-04-01"},
		Now: &show.Interval{Value: -22, Low: -25, High: -19, Unit: "cm2"}}
	require.Equal(t, "leak in drop changed at once, about 2026-04-01, and now is 22 cm2 (19 to 25) less than at first.", movedWords(r, s))
	s.Now = &show.Interval{Value: 22, Low: 19, High: 25, Unit: "cm2"}
	require.Contains(t, movedWords(r, s), "22 cm2 (19 to 25) more than when sound")
}
