package diagnose_test

import (
	"bytes"
	"context"
	"encoding/json"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/plant"
	"lostair/diagnose/trial/survey"
	"lostair/readings/units"
)

// large is a plant whose survey is thinned.
func large(tb testing.TB, kinds ...string) *trial.Case {
	c, err := trial.CaseOf(7, plant.New(7, 40, units.Metric), trial.Options{Readings: 300, Style: survey.Rich, Kinds: append([]string{}, kinds...),
		Baseline: trial.No, Wrong: trial.No, Join: trial.MomentumLaw, Quick: true})
	require.NoError(tb, err)
	return c
}

func largeResult(tb testing.TB, c *trial.Case) *diagnose.Result {
	r, err := diagnose.Diagnose(context.Background(), c.System, c.Survey, diagnose.Options{})
	require.NoError(tb, err)
	return r
}

// A survey of more readings than are searched with names the fault all the
// same,
// and holds every reading against the result.
func TestLargeSurvey(t *testing.T) {
	kit.Long(t, "a plant of 600 readings")
	c := large(t, "blockage")
	r := largeResult(t, c)
	main := slices.IndexFunc(c.Truth.Faults, func(f trial.Fault) bool { return f.Main() })
	require.True(t, named(r, c.Truth.Faults[main]), "%v is not among %v", c.Truth.Faults[main], r.Faults)

	rows := 0
	for _, x := range r.Checks {
		rows += len(x.Reading.Rows)
		require.Positive(t, x.Sigma)
	}
	require.Equal(t, len(c.Survey.Rows), rows, "rows that are held against the result")
	off := 0
	for _, x := range r.Checks {
		if d := x.Measured - x.Fitted; d*d > 9*x.Sigma*x.Sigma {
			off++
		}
	}
	require.Less(t, off, len(r.Checks)/20, "readings further than three sigmas from the fit")
	for _, f := range r.Faults {
		for _, e := range f.Evidence {
			require.Equal(t, r.Checks[e.Reading].Measured, e.Measured)
		}
	}

	// the order of the rows is nothing to the fault
	slices.Reverse(c.Survey.Readings)
	back := largeResult(t, c)
	require.Equal(t, r.Verdict, back.Verdict)
	require.True(t, named(back, c.Truth.Faults[main]))
}

// A sound plant read 300 times has no faults, and the same result twice.
func TestLargeSoundSurvey(t *testing.T) {
	kit.Long(t, "a sound plant of 600 readings")
	c := large(t)
	r := largeResult(t, c)
	for _, f := range r.Faults {
		require.Equal(t, fault.Undersized, f.Kind, "%v", f.Candidate)
	}
	first, err := json.Marshal(r.Checks)
	require.NoError(t, err)
	again, err := json.Marshal(largeResult(t, c).Checks)
	require.NoError(t, err)
	require.True(t, bytes.Equal(first, again))
}

// named: whether a fault is asserted, or one that stands for it.
func named(r *diagnose.Result, want trial.Fault) bool {
	for _, f := range r.Faults {
		for _, x := range append([]fault.Candidate{f.Candidate}, f.Alike...) {
			if x.Kind.String() == want.Kind && x.Where == want.Where {
				return true
			}
		}
	}
	return false
}
