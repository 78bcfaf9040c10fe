package tracked

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/track"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/show"
)

const demoDir = "../../cmd/lostair/demo"

// demoTrack is the history that comes with the demo, under names that would
// do harm if they were shown as they are.
func demoTrack(t *testing.T) *track.History {
	t.Helper()
	tr, err := demoFollowed()
	require.NoError(t, err)
	out := *tr
	out.Signals = slices.Clone(tr.Signals)
	return &out
}

// demoFollowed does so once for all tests.
var demoFollowed = sync.OnceValues(func() (*track.History, error) {
	sys, list := systemfile.LoadFile(filepath.Join(demoDir, "system.yaml"))
	if err := list.Err(); err != nil {
		return nil, err
	}
	files, err := os.ReadDir(filepath.Join(demoDir, "history"))
	if err != nil {
		return nil, err
	}
	var all []*readings.Survey
	for i, f := range files {
		s, list := readings.LoadFile(filepath.Join(demoDir, "history", f.Name()), sys.Units)
		if err := list.Err(); err != nil {
			return nil, err
		}
		s.File = f.Name()
		if i == 0 {
			s.File = "=cmd<script>\x1b[31m.csv"
		}
		all = append(all, s)
	}
	return track.Follow(context.Background(), sys, all, track.Options{})
})

func demoHistory(t *testing.T, u units.System) *Tracked { return From(demoTrack(t), u) }

func TestTrackedRenderersAgreeAndAreHarmless(t *testing.T) {
	for _, u := range []units.System{units.Metric, units.US} {
		r := demoHistory(t, u)
		var text, html, raw, table bytes.Buffer
		require.NoError(t, Text(&text, r, show.Style{Plain: true, Width: 72}))
		require.NoError(t, HTML(&html, r))
		require.NoError(t, JSON(&raw, r))
		require.NoError(t, CSV(&table, r))
		for _, l := range strings.Split(text.String(), "\n") {
			require.LessOrEqual(t, len(l), 72, l)
		}
		require.NotContains(t, text.String(), "\x1b")
		require.NotContains(t, html.String(), "<script")
		for _, b := range []string{text.String(), html.String(), raw.String(), table.String()} {
			require.NotContains(t, b, "NaN")
			require.NotContains(t, b, "Inf")
		}
		var again Tracked
		require.NoError(t, json.Unmarshal(raw.Bytes(), &again))
		require.Equal(t, r.Signals, again.Signals)

		rows, err := csv.NewReader(&table).ReadAll()
		require.NoError(t, err)
		require.Len(t, rows, 1+len(r.Series)*len(r.Surveys), "a row for each indicator and survey")
		require.Equal(t, "'=cmd<script>\x1b[31m.csv", rows[1][1], "a spreadsheet must not run a name")
	}
}

func TestTrackedTellsTheDemosStory(t *testing.T) {
	r := demoHistory(t, units.Metric)
	require.Len(t, r.Surveys, 24)
	require.Len(t, r.Episodes, 2)
	require.Contains(t, r.Summary[0], "A loaded filter")
	require.Contains(t, r.Summary[0], "gone by 2025-09-04", "it was cleaned")
	require.Contains(t, r.Summary[1], "A leak in")
	require.Contains(t, r.Summary[1], "still there")
	require.Contains(t, r.Summary[len(r.Summary)-1], "less than needed now")
	for _, text := range r.Summary {
		require.NotContains(t, text, "now is", "what has ended is not told as if it were there")
	}
	for _, s := range r.Series {
		if s.Gauge == "port-flow" && s.Signal >= 0 {
			require.Equal(t, "FALLS", r.stateOf(s), "%s: the filter was cleaned, and the leak takes its air now", s.Name)
		}
	}
	for _, s := range r.Signals {
		if r.Series[s.Series].Gauge == "leak-area" {
			require.InDelta(t, 24, s.Now.Value, 6, "of the 24 cm² that the history was made with")
			require.GreaterOrEqual(t, s.Began[2], "2025-10-04")
		}
	}
}

// When a limit will be reached stands in each output, with its interval.
func TestTrackedSaysWhenALimitIsReached(t *testing.T) {
	for gauge, o := range map[string]trial.HistoryOptions{
		"filter-drop": {Surveys: 20, At: 6, Event: trial.LoadingFilter, Size: 4, Off: trial.Options{Style: survey.Rich}},
		"leak-area":   {Surveys: 20, At: 6, Event: trial.GrowingLeak, Size: 0.12, Off: trial.Options{Style: survey.Rich}},
	} {
		h, err := trial.NewHistory(5003, o)
		require.NoError(t, err)
		var all []*readings.Survey
		for _, d := range h.Surveys {
			all = append(all, d.Survey)
		}
		tr, err := track.Follow(context.Background(), h.System, all, track.Options{Full: -1})
		require.NoError(t, err)
		r := From(tr, units.Metric)
		i := slices.IndexFunc(r.Signals, func(s Signal) bool { return r.Series[s.Series].Gauge == gauge })
		require.GreaterOrEqual(t, i, 0)
		require.NotEmpty(t, r.Signals[i].Reaches, gauge)
		x := r.Signals[i].Reaches[0]
		require.Less(t, x.Weeks.Low, x.Weeks.Value)
		require.Greater(t, x.Weeks.High, x.Weeks.Value)
		var text, html, raw bytes.Buffer
		require.NoError(t, Text(&text, r, show.Style{Plain: true, Width: 400}))
		require.NoError(t, HTML(&html, r))
		require.NoError(t, JSON(&raw, r))
		require.Regexp(t, `[Aa]t this rate \S+ (gets less than it needs|loses half of its flow) \(at [^)]*\) in about \d+ (days|weeks|months) \(`, text.String())
		require.Contains(t, strings.ToLower(html.String()), "at this rate "+x.Port)
		require.Contains(t, raw.String(), `"reaches": [`)
	}
}

// Two surveys may leave it open how fast a fan slows down: that is null, and no
// reason to fail.
func TestARateWithoutABoundIsLeftOut(t *testing.T) {
	tr := demoTrack(t)
	require.NotEmpty(t, tr.Signals)
	tr.Signals[0].Rate.High = math.Inf(1)
	r := From(tr, units.Metric)
	require.Nil(t, r.Signals[0].Rate)
	var raw, text, html bytes.Buffer
	require.NoError(t, JSON(&raw, r))
	require.NoError(t, Text(&text, r, show.Style{}))
	require.NoError(t, HTML(&html, r))
	require.Contains(t, raw.String(), `"rate": null`)
	require.NotContains(t, text.String()+html.String(), "Inf")
}

func TestSparklineScale(t *testing.T) {
	v := func(x float64) SeriesPoint { return SeriesPoint{Value: &show.Interval{Value: x}} }
	s := Series{Points: []SeriesPoint{v(0), v(1), v(2), {}, v(3)}}
	require.Equal(t, "▁▃▆ █", sparkline(s, false, 24))
	require.Equal(t, "_-+ #", sparkline(s, true, 24))
	require.Equal(t, "▅▅", sparkline(Series{Points: []SeriesPoint{v(7), v(7)}}, false, 24), "what never moves stands in the middle")
}

func TestWeeks(t *testing.T) {
	for w, want := range map[float64]string{0.01: "1 day", 1: "7 days", 5: "5 weeks", 52: "12 months"} {
		require.Equal(t, want, weeks(w))
	}
}

// A fault that the newest survey shows stands in the first line, whether or not
// a chart has left its limits.
func TestTrackedTellsOfTheNewestFault(t *testing.T) {
	f := report.Fault{Candidate: report.Candidate{Kind: "filter-loaded", Where: "filter", Name: "a loaded filter", Probability: 0.99}, Together: 0.99}
	h := &Tracked{Surveys: []Survey{{Reference: true}, {}}, Diagnosis: &report.Result{Faults: []report.Fault{f}}}
	require.False(t, h.Calm())
	said := strings.Join(trackSummary(h), " ")
	require.Contains(t, said, "the newest survey by itself points to a loaded filter (almost certain, 99 %).")
	require.NotContains(t, said, "the system is as it was")
	h.Diagnosis.Faults = []report.Fault{{Candidate: report.Candidate{Kind: report.ReadingWrong, Where: "row 3", Name: "row 3"}}}
	require.True(t, h.Calm())
	require.Contains(t, strings.Join(trackSummary(h), " "), "the system is as it was")
}
