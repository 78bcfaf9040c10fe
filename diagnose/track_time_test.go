//go:build unix

package diagnose

import (
	"context"
	"fmt"
	"os"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/trial"
	"lostair/readings"
)

// cpuSeconds is what the program has used of the processors so far, which other
// programs on the machine don't change as they do the clock.
func cpuSeconds(t *testing.T) float64 {
	var u syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

// Ten years of weekly surveys of a shop of twenty ports take under ten seconds
// of one processor. LOSTAIR_CASES asks for all 500.
func TestTenYearsInSeconds(t *testing.T) {
	n := 24
	if os.Getenv("LOSTAIR_CASES") != "" {
		n = 500
	}
	h, err := trial.NewHistory(5, trial.HistoryOptions{Ports: 20, Surveys: 60})
	require.NoError(t, err)
	start := time.Date(2015, 1, 5, 0, 0, 0, 0, time.UTC)
	var all []*readings.Survey
	for i := range n { // the same readings come again in later years
		v := *h.Surveys[i%len(h.Surveys)].Survey
		v.Rows = append([]readings.Row(nil), v.Rows...)
		for k := range v.Rows {
			v.Rows[k].Date = start.AddDate(0, 0, 7*i).Format(time.DateOnly)
		}
		v.File = fmt.Sprintf("%04d.csv", i)
		all = append(all, &v)
	}
	begin, used := time.Now(), cpuSeconds(t)
	tr, err := RunTrack(context.Background(), h.System, all, TrackOptions{})
	require.NoError(t, err)
	used = cpuSeconds(t) - used
	t.Logf("%d surveys of 20 ports, %d rows each: %v by the clock, %.1f s of processor", n, len(all[0].Rows), time.Since(begin), used)
	require.Len(t, tr.Surveys, n)
	if n == 500 {
		require.Less(t, used, 10.0)
	}
}
