package diagnose_test

import (
	"context"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
)

// countdown is a context that ends when it has been asked so many times: at each
// moment of the work, whatever the machine's speed.
type countdown struct {
	context.Context
	left, asked atomic.Int64
}

func endingAfter(n int64) *countdown {
	c := &countdown{Context: context.Background()}
	c.left.Store(n)
	return c
}

func (c *countdown) Err() error {
	c.asked.Add(1)
	if c.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}

// Stopped at any moment a diagnosis gives what is known by then, which asserts
// nothing and holds by its own terms; and it is asked often whether to stop.
func TestStoppedAnywhere(t *testing.T) {
	for _, baseline := range []trial.Either{trial.No, trial.Yes} {
		c, err := trial.NewCase(7, trial.Options{Ports: 4, Quick: true, Baseline: baseline, Style: survey.Normal})
		require.NoError(t, err)
		survey := reloaded(t, c.Survey.Rows, c.System.Units)
		opt := diagnose.Options{Baselines: c.Baselines}
		whole := endingAfter(1 << 40)
		_, err = diagnose.Diagnose(whole, c.System, survey, opt)
		require.NoError(t, err)
		asked := whole.asked.Load()
		require.Greater(t, asked, int64(200), "the work asks often whether to go on")
		known := 0
		for i := range int64(16) {
			at := i * asked / 16
			r, err := diagnose.Diagnose(endingAfter(at), c.System, survey, opt)
			require.ErrorIs(t, err, context.Canceled, "after %d of %d", at, asked)
			require.NotNil(t, r)
			assert.True(t, r.Unfinished)
			assert.Equal(t, diagnose.Unclear, r.Verdict)
			assert.Empty(t, r.Faults)
			assert.Empty(t, r.Fixes)
			assert.Less(t, r.Sound, 0.5+1e-9)
			for _, x := range r.Candidates {
				assert.LessOrEqual(t, x.Probability, 0.5)
			}
			known += len(r.Candidates)
			holds(t, r)
		}
		assert.Positive(t, known, "something is known before the end")
	}
}
