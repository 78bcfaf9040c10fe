package diagnose

import (
	"context"
	"fmt"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/trial"
	"lostair/readings"
)

// casesOr is how many seeded cases a simulation looks at: few in every go test,
// LOSTAIR_CASES of them to measure.
func casesOr(t *testing.T, few int) int {
	if n, err := strconv.Atoi(os.Getenv("LOSTAIR_CASES")); err == nil && n > 0 {
		return n
	}
	if testing.Short() {
		return max(few/4, 2)
	}
	return few
}

func surveysOf(h *trial.History) []*readings.Survey {
	var out []*readings.Survey
	for _, d := range h.Surveys {
		out = append(out, d.Survey)
	}
	return out
}

func tracked(t *testing.T, seed uint64, o trial.HistoryOptions, full int) (*trial.History, *Track) {
	t.Helper()
	h, err := trial.NewHistory(seed, o)
	require.NoError(t, err)
	tr, err := RunTrack(context.Background(), h.System, surveysOf(h), TrackOptions{Full: full, Reference: 8})
	require.NoError(t, err)
	return h, tr
}

// A leak that grows to 5 % of the main's bore over 20 weekly surveys is flagged
// before 2.5 %, with surveys that read mains and collector as well as drops.
func TestAGrowingLeakIsFlaggedInTime(t *testing.T) {
	n, inTime, named := casesOr(t, 12), 0, 0
	for seed := range n {
		h, tr := tracked(t, uint64(1000+seed), trial.HistoryOptions{Surveys: 28, At: 8, Event: trial.GrowingLeak, Off: trial.Options{Style: trial.Rich}}, -1)
		most := h.Surveys[27].Leak
		first := -1
		for _, s := range tr.Signals {
			if first < 0 || s.Survey < first {
				first = s.Survey
			}
		}
		if first >= 0 && h.Surveys[first].Leak < most/2 {
			inTime++
		}
		if len(tr.Signals) > 0 && tr.Series[tr.Signals[0].Series].Gauge == LeakArea {
			named++
		}
	}
	t.Logf("flagged before half of 5 %%: %d of %d; a leak named first: %d", inTime, n, named)
	require.GreaterOrEqual(t, float64(inTime), 0.9*float64(n))
	require.GreaterOrEqual(t, float64(named), 0.9*float64(n))
}

// Sound histories of a year, surveyed weekly, give a false signal in under 1 %.
func TestASoundYearIsQuiet(t *testing.T) {
	n, wrong := casesOr(t, 20), 0
	for seed := range n {
		if _, tr := tracked(t, uint64(2000+seed), trial.HistoryOptions{Surveys: 60}, -1); len(tr.Signals) > 0 {
			wrong++
			t.Logf("seed %d: %s", 2000+seed, tr.Series[tr.Signals[0].Series].Where)
		}
	}
	t.Logf("false signals: %d of %d years", wrong, n)
	require.LessOrEqual(t, float64(wrong), max(0.01*float64(n), 1))
}

func TestALoadingFilterIsNamedWithItsTrend(t *testing.T) {
	h, tr := tracked(t, 3, trial.HistoryOptions{Surveys: 48, At: 10, Event: trial.LoadingFilter, Off: trial.Options{Style: trial.Rich}}, 1)
	require.NotEmpty(t, tr.Signals)
	s := tr.Signals[0]
	require.Equal(t, FilterDrop, tr.Series[s.Series].Gauge)
	require.True(t, s.Up)
	require.False(t, s.Jumped)
	require.Less(t, s.Now.Low, h.Surveys[47].Filter*1.3)
	require.Greater(t, s.Now.High, h.Surveys[47].Filter*0.75)
	require.LessOrEqual(t, s.Began[1], 12)
	require.GreaterOrEqual(t, s.Began[2], 8)
	r := tr.Surveys[47].Result
	require.NotNil(t, r, "the newest survey is diagnosed in full")
	require.Equal(t, FilterLoaded, r.Faults[0].Kind)
}

func TestTrackSaysTheSameTwiceAndLeavesSurveysAlone(t *testing.T) {
	h, a := tracked(t, 11, trial.HistoryOptions{Surveys: 20, At: 8, Event: trial.GrowingLeak}, -1)
	before := fmt.Sprintf("%+v", h.Surveys[3].Survey)
	var shuffled []*readings.Survey
	for i := range h.Surveys {
		shuffled = append(shuffled, h.Surveys[len(h.Surveys)-1-i].Survey)
	}
	b, err := RunTrack(context.Background(), h.System, shuffled, TrackOptions{Full: -1, Reference: 8})
	require.NoError(t, err)
	require.Equal(t, a.Series, b.Series, "the order of the files does not matter")
	require.Equal(t, a.Signals, b.Signals)
	require.Equal(t, before, fmt.Sprintf("%+v", h.Surveys[3].Survey))
}

func TestTrackWithOddRows(t *testing.T) {
	h, err := trial.NewHistory(12, trial.HistoryOptions{Surveys: 16})
	require.NoError(t, err)
	all := surveysOf(h)
	bad := *all[12]
	bad.Rows, bad.Readings = append([]readings.Row(nil), bad.Rows...), append([]readings.Reading(nil), bad.Readings...)
	for i := range bad.Readings {
		if len(bad.Readings[i].Rows) == 1 {
			bad.Readings[i].Value *= 10
			bad.Rows[bad.Readings[i].Rows[0]].Value *= 10
			break
		}
	}
	all[12] = &bad
	tr, err := RunTrack(context.Background(), h.System, all, TrackOptions{Full: -1, Reference: 6})
	require.NoError(t, err)
	require.Len(t, tr.Surveys[12].Wrong, 1)
	require.NotContains(t, tr.Surveys[12].Wrong[0].Reason, "fits nothing", "ten times too much is a slip with a name")
	require.Empty(t, tr.Signals, "one slip of the pen is no drift")
}

func TestTrackNeedsDates(t *testing.T) {
	sys := demoSystem(t)
	s := &readings.Survey{File: "x.csv"}
	_, err := RunTrack(context.Background(), sys, []*readings.Survey{s}, TrackOptions{})
	require.ErrorContains(t, err, "no date")
	for name, want := range map[string]bool{"a/2026-03-02-spring.csv": true, `b\2026-03-02.csv`: true, "march.csv": false, "2026-13-40.csv": false} {
		_, ok := DateOf(&readings.Survey{File: name})
		require.Equal(t, want, ok, name)
	}
}
