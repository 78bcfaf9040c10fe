package diagnose_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/score"
	"lostair/diagnose/trial/survey"
)

// Three and four faults at once are each thought of, and what is called sure is there:
// the places beside each are looked at, whatever work it took to find all of them.
func TestSeveralFaults(t *testing.T) {
	sets := [][]string{
		{"fan-weak", "blockage", "gate-restricted", "leak"},
		{"blockage", "gate-restricted", "blockage"},
		{"filter-loaded", "gate-restricted", "blockage", "gate-leaking"},
		{"leak", "blockage", "gate-restricted"},
	}
	n := uint64(kit.Some(4, 80))
	var truths []*trial.Truth
	var answers []*score.Answer
	for seed := uint64(1); seed <= n; seed++ {
		c, err := trial.NewCase(seed, trial.Options{Ports: 6, Style: survey.Rich, Wrong: trial.No, Kinds: sets[seed%uint64(len(sets))]})
		require.NoError(t, err)
		r, err := diagnose.Diagnose(context.Background(), c.System, c.Survey, diagnose.Options{Baselines: c.Baselines})
		require.NoError(t, err)
		truths, answers = append(truths, &c.Truth), append(answers, answerOf(r))
	}
	y := &score.Of(truths, answers).Groups[0].Tally
	t.Logf("%d cases: all of several at 0.1 or more in %d of %d, asserted in %d; sure groups that are real %d of %d", n, y.Listed.Hits, y.Listed.N, y.All.Hits, y.Sure.Hits, y.Sure.N)
	assert.GreaterOrEqual(t, y.Listed.Value(), 0.4)
	assert.GreaterOrEqual(t, y.Sure.Value(), 0.95)
}
