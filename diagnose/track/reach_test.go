package track_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/kit"
	"lostair/diagnose/track"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
)

// crossed is the survey from which on a port's flow alone lies below a limit in
// most of five surveys about it; -1: never.
func crossed(h *trial.History, port string, limit float64) int {
	for k := 2; k+2 < len(h.Surveys); k++ {
		n := 0
		for _, d := range h.Surveys[k-2 : k+3] {
			if d.Alone[port] < limit {
				n++
			}
		}
		if n >= 3 {
			return k
		}
	}
	return -1
}

// A filter that loads and a leak that grows say when a port will fall short, and
// the interval holds the day on which it does.
func TestWhenALimitWillBeReached(t *testing.T) {
	kit.Long(t, "histories of 110 surveys")
	for _, c := range []struct {
		name  string
		event trial.Event
		size  float64
		gauge track.Gauge
	}{{"filter", trial.LoadingFilter, 30, track.FilterDrop}, {"leak", trial.GrowingLeak, 0.4, track.LeakArea}} {
		n, told, due, inside, total := kit.CasesOr(t, 3), 0, 0, 0, 0
		for seed := range n {
			h, err := trial.NewHistory(uint64(5000+seed), trial.HistoryOptions{Surveys: 110, At: 8, Event: c.event, Size: c.size, Off: trial.Options{Style: survey.Rich}})
			require.NoError(t, err)
			const last = 39
			tr, err := track.Follow(context.Background(), h.System, kit.SurveysOf(h)[:last+1], track.Options{Full: -1, Reference: 8})
			require.NoError(t, err)
			sound := map[string]float64{}
			for _, d := range h.Surveys[:8] {
				for p, q := range d.Alone {
					sound[p] += q / 8
				}
			}
			for _, p := range h.System.Ports {
				if k := crossed(h, p.ID, p.Need); p.Need < sound[p.ID] && k > last+2 {
					due++
					break
				}
			}
			any := false
			for _, s := range tr.Signals {
				if tr.Series[s.Series].Gauge != c.gauge {
					continue
				}
				for _, r := range s.Limits {
					any = true
					p, _ := h.System.PortNamed(r.Port)
					limit := h.System.Ports[p].Need
					if r.What == "half" {
						limit = sound[r.Port] / 2
					}
					k := crossed(h, r.Port, limit)
					truth := math.Inf(1)
					if k >= 0 {
						truth = 7 * float64(k-last)
					}
					if k < 0 && r.Days.Low > 7*70 || k >= 0 && k <= last {
						continue // beyond what was simulated, or there already
					}
					total++
					if truth >= r.Days.Low-7 && truth <= r.Days.High+7 {
						inside++
					}
					t.Logf("%s %d: %s %s in %.0f days (%.0f to %.0f), truth %.0f", c.name, seed, r.Port, r.What, r.Days.Value, r.Days.Low, r.Days.High, truth)
				}
			}
			if any {
				told++
			}
		}
		t.Logf("%s: told in %d of %d (a port is due in %d); the interval holds the day in %d of %d", c.name, told, n, due, inside, total)
		require.GreaterOrEqual(t, float64(told), 0.8*float64(due)-1)
		require.NotZero(t, total)
		require.GreaterOrEqual(t, float64(inside), 0.8*float64(total)-1)
	}
}
