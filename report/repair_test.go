package report

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/trial"
	"lostair/readings/units"
)

// A gate that was opened is told as such in each output, with what its port gained.
func TestRepairRenderersAgree(t *testing.T) {
	h, err := trial.NewHistory(3301, trial.HistoryOptions{Surveys: 3, At: 1, Event: trial.Mend, Kind: trial.GateRestricted})
	require.NoError(t, err)
	x, err := diagnose.CompareRepair(context.Background(), h.System, h.Surveys[0].Survey, h.Surveys[1].Survey, diagnose.RepairOptions{Place: h.Mended.Where})
	require.NoError(t, err)
	r := FromRepair(x, units.US)
	require.Equal(t, "better", r.Verdict)
	require.Greater(t, *r.Cause, 0.9)
	require.Contains(t, r.Zone, h.Mended.Where)
	var text, html, raw bytes.Buffer
	require.NoError(t, RepairText(&text, r, Style{Plain: true, Width: 80}))
	require.NoError(t, RepairHTML(&html, r))
	require.NoError(t, RepairJSON(&raw, r))
	for _, b := range []string{text.String(), html.String()} {
		require.Contains(t, b, "It is better than before")
		require.Contains(t, b, "What was done at "+h.Mended.Where)
		require.NotContains(t, b, "+0.0")
		require.NotContains(t, b, "-0.0")
	}
	require.Contains(t, raw.String(), `"cause":`)

	swapped, err := diagnose.CompareRepair(context.Background(), h.System, h.Surveys[1].Survey, h.Surveys[0].Survey, diagnose.RepairOptions{})
	require.NoError(t, err)
	back := FromRepair(swapped, units.Metric)
	require.Equal(t, "worse", back.Verdict)
	require.Contains(t, back.Summary[0], "is dated before")
	require.Nil(t, back.Cause)
}

func TestChangesHaveNoSignBeforeNothing(t *testing.T) {
	for v, want := range map[float64]string{1: "0 %", 1.0004: "0 %", 0.9996: "0 %", 1.012: "+1.2 %", 0.95: "-5.0 %", 1.274: "+27 %"} {
		require.Equal(t, want, ratioText(v), v)
	}
}

func TestFiguresLineUp(t *testing.T) {
	for v, want := range map[float64]string{13: "13.0", 9.999: "10.0", 99.96: "100", 0.5: "0.50", 1250: "1250", 0: "0", -2.5: "-2.50"} {
		require.Equal(t, want, even(v), v)
	}
	for v, want := range map[float64]string{1331: "1330", 959: "959", 14.2: "14.2"} {
		require.Equal(t, want, about(v), v)
	}
}
