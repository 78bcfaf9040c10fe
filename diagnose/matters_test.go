package diagnose_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/trial"
)

// What is broken and matters is part of what is broken: the verdict goes by it.
func TestBrokenIsWhatMatters(t *testing.T) {
	for seed := uint64(1); seed <= 4; seed++ {
		c, err := trial.NewCase(seed, trial.Options{Ports: kit.Some(4, 0), Sound: seed%2 == 1})
		require.NoError(t, err)
		r, err := diagnose.Diagnose(context.Background(), c.System, c.Survey, diagnose.Options{})
		require.NoError(t, err)
		require.LessOrEqual(t, r.Broken, 1-r.Sound+1e-6, "seed %d", seed)
		if r.Verdict == diagnose.Unclear {
			require.GreaterOrEqual(t, r.Broken, 0.5)
		}
		if r.Verdict == diagnose.Clear {
			require.Less(t, r.Broken, 0.5)
		}
	}
}
