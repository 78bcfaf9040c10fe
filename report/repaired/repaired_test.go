package repaired

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/repair"
	"lostair/diagnose/trial"
	"lostair/readings/units"
	"lostair/report/show"
)

// A gate that was opened is told as such in each output, with what its port gained.
func TestRepairRenderersAgree(t *testing.T) {
	h, err := trial.NewHistory(3301, trial.HistoryOptions{Surveys: 3, At: 1, Event: trial.Mend, Kind: trial.GateRestricted})
	require.NoError(t, err)
	x, err := repair.Compare(context.Background(), h.System, h.Surveys[0].Survey, h.Surveys[1].Survey, repair.Options{Place: h.Mended.Where})
	require.NoError(t, err)
	r := From(x, units.US)
	require.Equal(t, "better", r.Verdict)
	require.Greater(t, *r.Cause, 0.9)
	require.Contains(t, r.Zone, h.Mended.Where)
	var text, html, raw bytes.Buffer
	require.NoError(t, Text(&text, r, show.Style{Plain: true, Width: 80}))
	require.NoError(t, HTML(&html, r))
	require.NoError(t, JSON(&raw, r))
	for _, b := range []string{text.String(), html.String()} {
		require.Contains(t, b, "It is better than before")
		require.Contains(t, b, "What was done at "+h.Mended.Where)
		require.NotContains(t, b, "+0.0")
		require.NotContains(t, b, "-0.0")
	}
	require.Contains(t, raw.String(), `"cause":`)

	swapped, err := repair.Compare(context.Background(), h.System, h.Surveys[1].Survey, h.Surveys[0].Survey, repair.Options{})
	require.NoError(t, err)
	back := From(swapped, units.Metric)
	require.Equal(t, "worse", back.Verdict)
	require.Contains(t, back.Summary[0], "is dated before")
	require.Nil(t, back.Cause)
}
