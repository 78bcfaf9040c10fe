package search_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/search"
	"lostair/readings/units"
)

// A pressure ten times too large may be millimetres of water for pascals as
// well, two in a hundred off: both are tried, and it is said that both may be.
func TestTenTimesMayBeThePointOrTheUnit(t *testing.T) {
	s, _ := kit.FitOf(t)
	var i int
	for k := range s.Observation {
		if s.B.Survey.Rows[s.Observation[k].Rows[0]].Quantity.Dimension() == units.Pressure && s.B.Survey.Rows[s.Observation[k].Rows[0]].Unit == "Pa" {
			i = k
		}
	}
	point, unit := 0, 0
	for _, w := range search.Slips(s, i) {
		f := w.Y / s.Observation[i].Y
		if math.Abs(f/10-1) > 0.03 && math.Abs(f/0.1-1) > 0.03 {
			require.False(t, w.Reason.OrPoint || w.Reason.Kind == fault.SlipPoint, "%.4g times", f)
			continue
		}
		require.True(t, w.Reason.OrPoint || w.Reason.Kind == fault.SlipPoint, "%.4g times", f)
		if w.Reason.Really == "mmH2O" {
			unit++
		} else {
			point++
		}
	}
	require.Equal(t, 2, point)
	require.Equal(t, 2, unit)
}
