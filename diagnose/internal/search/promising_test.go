package search_test

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/trial"
)

// Of more readings than are searched with those are kept that were read next to where a
// fault would make them likelier, and as many as there is room for: of the blocked duct
// of a plant as much as ever was read there.
func TestWhatPromisesIsKept(t *testing.T) {
	s, ss := kit.LargeStudy(t)
	s.Slim()
	m := len(s.Observation)
	near := s.Fit(fit.Hypothesis{}, s.Before()).At
	where := slices.IndexFunc(ss, func(x *fault.Site) bool { return x.Kind == fault.Blockage && x.Where == "m017-drop" })
	require.GreaterOrEqual(t, where, 0)
	blocked := ss[where].Duct
	ducts := search.Promising(s, ss, &near)
	at := slices.Index(ducts, blocked)
	require.True(t, at >= 0 && at < 4, "%d of %d", at, len(ducts))

	const n = 60
	keep := search.ThinnedTo(s, ducts, n)
	require.Len(t, keep, n)
	require.True(t, slices.IsSorted(keep))
	next := search.ReadNear(s, blocked)
	require.NotEmpty(t, next)
	require.Less(t, len(next), n/2)
	for _, i := range next {
		require.Contains(t, keep, i)
	}
	require.Equal(t, numeric.Evenly(m, n), search.ThinnedTo(s, nil, n))
	require.Equal(t, numeric.Evenly(m, n), search.ThinnedTo(s, []int{-1}, n), "what is read at the collector bears on everything")
	require.Nil(t, search.Promising(s, ss, nil), "nothing is known")
}

// Of 4,714 readings of a plant of 1,000 ports some 2,000 are searched with. Taken evenly
// they left the blocked drop out, and nothing was said to be broken.
func TestABlockageAmongThousandsOfReadings(t *testing.T) {
	kit.Long(t, "a plant of 1,000 ports")
	c, err := trial.FaultyPlant(7, 1000, 5000)
	require.NoError(t, err)
	blocked := slices.IndexFunc(c.Truth.Faults, func(f trial.Fault) bool { return f.Kind == fault.Blockage.String() })
	require.GreaterOrEqual(t, blocked, 0)
	r, err := diagnose.Diagnose(context.Background(), c.System, c.Survey, diagnose.Options{})
	require.NoError(t, err)
	require.True(t, slices.ContainsFunc(r.Faults, func(f diagnose.Fault) bool {
		return f.Kind == fault.Blockage && f.Where == c.Truth.Faults[blocked].Where
	}), "%v", r.Faults)
}
