package repair_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/repair"
	"lostair/diagnose/trial"
	"lostair/readings"
	"lostair/readings/units"
)

// inUnit is a survey in which the pressures are numbers of another unit: what is
// written is so many times what it should be.
func inUnit(s *readings.Survey, times float64) *readings.Survey {
	now := *s
	now.File = "slip.csv"
	now.Rows, now.Readings = append([]readings.Row(nil), s.Rows...), append([]readings.Reading(nil), s.Readings...)
	for i := range now.Rows {
		if now.Rows[i].Quantity.Dimension() == units.Pressure {
			now.Rows[i].Value *= times
		}
	}
	for i := range now.Readings {
		if now.Readings[i].Quantity.Dimension() == units.Pressure {
			now.Readings[i].Value *= times
		}
	}
	return &now
}

// A unit that is wrong in one of two surveys of a sound shop is no change of the shop.
func TestAWrongUnitIsNoChange(t *testing.T) {
	h, err := trial.NewHistory(4, trial.HistoryOptions{Surveys: 2, Off: trial.Options{US: trial.No}})
	require.NoError(t, err)
	a, b := h.Surveys[0].Survey, h.Surveys[1].Survey
	for name, c := range map[string]struct {
		first, second *readings.Survey
		slip          bool
	}{
		"after in mm of water":  {a, inUnit(b, 1/9.80665), true},
		"before in mm of water": {inUnit(a, 1/9.80665), b, true},
		"as written":            {a, b, false},
	} {
		t.Run(name, func(t *testing.T) {
			r, err := repair.Compare(context.Background(), h.System, c.first, c.second, repair.Options{})
			require.NoError(t, err)
			require.Equal(t, c.slip, r.Slip != nil)
			if c.slip {
				require.Equal(t, "slip.csv", r.Slip.File)
				require.Equal(t, "mmH2O", r.Slip.Really)
			}
			require.Less(t, r.Worse, 0.9)
			require.Less(t, r.Improved, 0.9)
		})
	}
}
