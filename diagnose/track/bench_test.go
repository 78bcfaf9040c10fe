package track

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
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
