package track

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/trial"
	"lostair/readings"
)

// weekly is a shop of twenty ports with n weekly surveys. The same readings
// come again in later years.
func weekly(tb testing.TB, n int) (*duct.System, []*readings.Survey) {
	h, err := trial.NewHistory(5, trial.HistoryOptions{Ports: 20, Surveys: min(n, 60)})
	require.NoError(tb, err)
	start := time.Date(2015, 1, 5, 0, 0, 0, 0, time.UTC)
	var all []*readings.Survey
	for i := range n {
		v := *h.Surveys[i%len(h.Surveys)].Survey
		v.Rows = append([]readings.Row(nil), v.Rows...)
		for k := range v.Rows {
			v.Rows[k].Date = start.AddDate(0, 0, 7*i).Format(time.DateOnly)
		}
		v.File = fmt.Sprintf("%04d.csv", i)
		all = append(all, &v)
	}
	return h.System, all
}

// Ten years of weekly surveys.
func BenchmarkTrack(b *testing.B) {
	for _, n := range []int{50, 500} {
		b.Run(fmt.Sprintf("surveys=%d", n), func(b *testing.B) {
			sys, all := weekly(b, n)
			b.ReportAllocs()
			for b.Loop() {
				_, err := Follow(context.Background(), sys, all, Options{})
				require.NoError(b, err)
			}
		})
	}
}

// Surveys that read the same points share one solving of the model, which is
// what makes years of them quick.
func TestYearsOfSurveysShareALinearisation(t *testing.T) {
	kit.Long(t, "two years of weekly surveys")
	sys, all := weekly(t, 24)
	tr, err := Follow(context.Background(), sys, all, Options{Full: -1})
	require.NoError(t, err)
	require.Len(t, tr.Surveys, 24)
	for i, s := range tr.Surveys {
		require.Equal(t, all[i].File, s.Survey.File)
	}
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	var bounds []*observe.Bound
	for _, s := range all {
		b, bad := observe.Bind(m, s)
		require.NoError(t, bad.Err())
		bounds = append(bounds, b)
	}
	tk, err := newTracker(context.Background(), m, bounds[:6], bounds)
	require.NoError(t, err)
	_, err = tk.fitAll(context.Background(), bounds)
	require.NoError(t, err)
	require.Len(t, tk.lenses, 1)
}
