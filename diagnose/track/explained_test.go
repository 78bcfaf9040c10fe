package track_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/track"
	"lostair/readings"
)

// A hose clogged so far that its port keeps 52 % of its air is what its readings say,
// not a slip among them: that air is not given to the other ports, where nothing changed.
func TestACloggedHoseIsNoSlip(t *testing.T) {
	sys, bad := duct.LoadFile("testdata/clogged/shop.yaml")
	require.NoError(t, bad.Err())
	var surveys []*readings.Survey
	for _, f := range []string{"may", "november"} {
		s, bad := readings.ReadFile("testdata/clogged/"+f+".csv", sys.Units)
		require.NoError(t, bad.Err())
		surveys = append(surveys, s)
	}
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
	slip := *surveys[0]
	slip.Rows, slip.Readings = append([]readings.Row(nil), slip.Rows...), append([]readings.Reading(nil), slip.Readings...)
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
	tr, err = track.Follow(context.Background(), sys, []*readings.Survey{surveys[0], &slip}, track.Options{Full: -1})
	require.NoError(t, err)
	require.Len(t, tr.Surveys[1].Wrong, 1)
	require.Equal(t, "lathe", tr.Surveys[1].Wrong[0].Row.Point)
	require.NotEqual(t, fault.NoSlip, tr.Surveys[1].Wrong[0].Reason.Kind)
	require.Empty(t, tr.Episodes)
}
