package guided

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/diagnose/next"
	"lostair/diagnose/repair"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/show"
)

// Gates that all end alike are not named one by one if they are many.
func TestGatesInWords(t *testing.T) {
	many := []string{"a", "b", "c", "d"}
	assert.Equal(t, "Gates: all gates open.", Gates(&round.Question{Row: readings.Row{Open: readings.Open{All: true}}, Open: many, Moves: true}))
	assert.Equal(t, "Gates: all gates shut.", Gates(&round.Question{Shut: many, Moves: true}))
	assert.Equal(t, "Gates: shut a (all gates shut).", Gates(&round.Question{Shut: many[:1], Moves: true}))
	assert.Equal(t, "Gates: open d, shut a, b and c (only d open).", Gates(&round.Question{Row: readings.Row{Open: readings.Open{Gates: many[3:]}}, Open: many[3:], Shut: many[:3], Moves: true}))
	assert.Equal(t, "Gates as they are: all gates shut.", Gates(&round.Question{}))
	assert.Equal(t, "Gates as they are: all gates shut; unhook the hose from lathe: fan off first, machine locked off.",
		Gates(&round.Question{Row: readings.Row{HoseOff: []string{"lathe"}}, Unhook: []string{"lathe"}}))
	assert.Equal(t, "Gates as they are: all gates shut; unhook the hose from saw: fan off first, machine locked off; the hose of lathe stays off.",
		Gates(&round.Question{Row: readings.Row{HoseOff: []string{"lathe", "saw"}}, Unhook: []string{"saw"}}))
	assert.Equal(t, "Gates as they are: all gates shut; the hose of lathe stays off.", Gates(&round.Question{Row: readings.Row{HoseOff: []string{"lathe"}}}))
	assert.Equal(t, "Gates: open d (only d open); put the hose of lathe back on: fan off first, machine locked off.",
		Gates(&round.Question{Row: readings.Row{Open: readings.Open{Gates: many[3:]}}, Open: many[3:], Moves: true, Hook: []string{"lathe"}}))
}

// What is more likely wrong than right is not called enough.
func TestEnoughInWords(t *testing.T) {
	act := &fault.Candidate{}
	assert.Contains(t, Enough(next.Enough{Risk: 0.03, Act: act}, &report.Result{}, ""), "That is enough: more readings would hardly change what to do first (3 in 100 that it is something else)")
	assert.Contains(t, Enough(next.Enough{Risk: 0.6, Act: act}, &report.Result{}, ""), "more would hardly change what to do first (40 in 100 that it is right)")
	assert.Contains(t, Enough(next.Enough{Risk: 0.42, Act: act}, &report.Result{}, ""), "That is as far as these readings go: more would hardly change what to do first (42 in 100 that it is something else)")
	assert.Contains(t, Enough(next.Enough{Risk: 0.3}, &report.Result{}, ""), "enough for now")
	assert.Contains(t, Enough(next.Enough{Risk: 0.1}, &report.Result{}, "lathe"), "nothing was read at lathe, which is said to be weak")
	assert.Contains(t, Enough(next.Enough{Risk: 0.1, Act: act}, &report.Result{}, "lathe"), "That is enough: more readings", "what is to be mended is said first")
}

// Each look has its question, what it shows and, wherever a hand comes near something
// that can hurt, its caution.
func TestEveryLookIsAskedForSafely(t *testing.T) {
	for _, name := range readings.LookNames() {
		k, ok := readings.LookNamed(name)
		require.True(t, ok)
		for _, s := range []string{show.LookQuestion(k, "north-run"), show.LookShows(k, "north-run")} {
			assert.Contains(t, s, "north-run", name)
			assert.NotContains(t, s, "%!", name)
		}
		how, mind := looking(k)
		assert.NotEmpty(t, how, name)
		if k != readings.RisesWithDoorOpen { // from the middle of the shop, by a gauge that hangs already
			assert.NotEmpty(t, mind, name)
		}
	}
}

// A repair that has brought nothing is not called better, nor in the log.
func TestARepairThatBroughtNothing(t *testing.T) {
	same := fault.Interval{Value: 0.18, Low: 0.17, High: 0.19}
	p := &round.Proved{Improved: 0.07, Ports: []repair.Port{{Port: "lathe", Before: same, After: same, Ratio: fault.Interval{Value: 1, Low: 0.97, High: 1.03}, More: 0.4}}}
	said := Proved(p, round.Complaint{}, units.Metric)
	assert.Contains(t, said, "It is no better than before (7 in 100 that it is). Lathe gets")
	assert.Contains(t, said, "Look again")
	note := Entry(&round.Round{}, p, "2026-11-02", units.Metric).Note
	assert.Contains(t, note, "; no better than before (7 in 100 that it is): look again")
	for _, text := range []string{said, note} {
		assert.NotRegexp(t, "(?i)(^|[^o] )better than before|in place of", text)
	}

	p.Improved = 0.97
	assert.Contains(t, Proved(p, round.Complaint{}, units.Metric), "Better than before: 97 in 100.")
	assert.Contains(t, Entry(&round.Round{}, p, "2026-11-02", units.Metric).Note, "; better than before: 97 in 100")
}
