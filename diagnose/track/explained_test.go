package track_test

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/fault"
	"lostair/diagnose/track"
	"lostair/readings"
)

// A hose clogged so far that its port keeps 52 % of its air is what its readings say,
// not a slip among them: that air is not given to the other ports, where nothing changed.
func TestACloggedHoseIsNoSlip(t *testing.T) {
	sys, surveys := cloggedHose(t)
	tr, err := track.Follow(context.Background(), sys, surveys, track.Options{Full: -1})
	require.NoError(t, err)
	require.Empty(t, tr.Surveys[1].Wrong)
	require.Len(t, tr.Episodes, 1)
	for _, s := range tr.Series {
		if s.Gauge != track.FlowShare {
			continue
		}
		want := 1.0
		if s.Where == "lathe" {
			want = 2854.0 / 5460 // as its mouth shows
		}
		require.InDelta(t, want, s.Points[1].Value.Value, 0.01, s.Where)
	}

	// A figure of the mouth alone that nothing else goes with stays a slip.
	tr, err = track.Follow(context.Background(), sys, []*readings.Survey{surveys[0], slipOf(surveys[0])}, track.Options{Full: -1})
	require.NoError(t, err)
	require.Len(t, tr.Surveys[1].Wrong, 1)
	require.Equal(t, "lathe", tr.Surveys[1].Wrong[0].Row.Point)
	require.NotEqual(t, fault.NoSlip, tr.Surveys[1].Wrong[0].Reason.Kind)
	require.Empty(t, tr.Episodes)
}

// cloggedHose is a shop with its surveys before and after the lathe's hose clogged.
func cloggedHose(t *testing.T) (*duct.System, []*readings.Survey) {
	t.Helper()
	sys, bad := systemfile.LoadFile("testdata/clogged/shop.yaml")
	require.NoError(t, bad.Err())
	var surveys []*readings.Survey
	for _, f := range []string{"may", "november"} {
		s, bad := readings.ReadFile("testdata/clogged/"+f+".csv", sys.Units)
		require.NoError(t, bad.Err())
		surveys = append(surveys, s)
	}
	return sys, surveys
}

// slipOf is the survey before it, made later, with only the figure of the lathe's mouth as
// it is with the hose clogged.
func slipOf(s *readings.Survey) *readings.Survey {
	slip := *s
	slip.Rows, slip.Readings = slices.Clone(s.Rows), slices.Clone(s.Readings)
	for i := range slip.Readings {
		if r := &slip.Readings[i]; r.Point == "lathe" {
			r.Value *= 2854.0 / 5460
		}
	}
	for i := range slip.Rows {
		if r := &slip.Rows[i]; r.Point == "lathe" {
			r.Value *= 2854.0 / 5460
		}
		slip.Rows[i].Date = "2026-11-02"
	}
	slip.File = "slip.csv"
	return &slip
}
