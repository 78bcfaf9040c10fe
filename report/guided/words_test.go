package guided

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/diagnose/round"
	"lostair/readings"
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
}

// What is more likely wrong than right is not called enough.
func TestEnoughInWords(t *testing.T) {
	act := &fault.Candidate{}
	assert.Contains(t, Enough(diagnose.Enough{Risk: 0.03, Act: act}, &report.Result{}), "That is enough: more readings would hardly change what to do first (3 in 100 that it is something else)")
	assert.Contains(t, Enough(diagnose.Enough{Risk: 0.6, Act: act}, &report.Result{}), "more would hardly change what to do first (40 in 100 that it is right)")
	assert.Contains(t, Enough(diagnose.Enough{Risk: 0.42, Act: act}, &report.Result{}), "That is as far as these readings go: more would hardly change what to do first (42 in 100 that it is something else)")
	assert.Contains(t, Enough(diagnose.Enough{Risk: 0.3}, &report.Result{}), "enough for now")
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
