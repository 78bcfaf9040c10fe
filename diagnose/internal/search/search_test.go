package search_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
)

// What leads is looked at again under other factors: all that is near the best,
// and nothing far below it.
func TestLead(t *testing.T) {
	g := &search.Search{}
	for _, e := range []float64{0, -3, -search.LeadWindow + 0.1, -search.LeadWindow - 0.1} {
		g.All = append(g.All, &fit.Fit{Status: fit.Settled, Evidence: e})
	}
	lead := g.Lead()
	require.Len(t, lead, 3)
	require.InDelta(t, -3, lead[1].Score, 0)
	for range 2 * search.FitsALevel {
		g.All = append(g.All[:1:1], g.All...)
	}
	require.Len(t, g.Lead(), search.FitsALevel)
}

// A search that only looked for the factors goes on from what it found, as far
// as one that was none from the start.
func TestAScoutingSearchGoesOn(t *testing.T) {
	_, s := kit.TrialStudy(t, 408)
	best := map[bool]float64{}
	for _, scouting := range []bool{true, false} {
		g := search.NewSearch(s, fault.Sites(s.M), search.WrongRows(s))
		g.Scouting = scouting
		require.NoError(t, g.Run(t.Context(), nil))
		if scouting {
			n := len(g.All)
			require.NoError(t, g.Again(t.Context(), nil))
			require.Greater(t, len(g.All), n)
			require.False(t, g.Scouting)
			seen := map[string]bool{}
			for _, f := range g.All {
				require.False(t, seen[f.Key], "nothing is fitted twice")
				seen[f.Key] = true
			}
		}
		best[scouting] = g.Best()
	}
	require.InDelta(t, best[false], best[true], 0.1)
}

// A neighbour that was hopeless in place of a fault is not put there again.
func TestPoorSwapsAreLeftOut(t *testing.T) {
	_, s := kit.TrialStudy(t, 405)
	g := search.NewSearch(s, fault.Sites(s.M), nil)
	sound := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	g.Sound, g.All = sound, []*fit.Fit{sound}
	var v *fault.Variant
	for _, x := range g.Sites {
		if x.Kind == fault.Blockage {
			v = x.Variants[0]
		}
	}
	f := s.Fit(fit.Hypothesis{Faults: []*fault.Variant{v}}, sound.At)
	require.True(t, f.Ok())
	all := g.Exchanges(f, nil)
	require.Greater(t, len(all), 2)
	poor := map[[2]int]bool{all[1].Swap: true}
	left := g.Exchanges(f, poor)
	require.Len(t, left, len(all)-1)
	for _, x := range left {
		require.NotEqual(t, all[1].Swap, x.Swap)
	}
}

// Of two sets with faults in common, what is as good in place of one in the first
// is tried in the other too, and what was hopeless there is not.
func TestExchangesLearnFromOneAnother(t *testing.T) {
	tried, spared := 0, 0
	for _, seed := range []uint64{411, 415, 421, 423} {
		_, s := kit.TrialStudy(t, seed)
		g := search.NewSearch(s, fault.Sites(s.M), nil)
		require.NoError(t, g.Run(t.Context(), nil))
		one := g.All[0]
		h := one.Hypothesis
		for _, x := range g.Sites {
			if x.Kind == fault.FilterLoaded {
				h.Faults = append(slices.Clone(h.Faults), x.Variants[0])
			}
		}
		two := s.Fit(h, one.At)
		require.True(t, two.Ok())
		two.Prior = one.Score() - 0.5 - two.Evidence // as likely, all but
		two.Key = screen.KeyOf(h, g.Vid, g.Wid)
		g.All, g.Seen = []*fit.Fit{one, two, g.Sound}, map[string]bool{one.Key: true, two.Key: true}
		first, second := g.Exchanges(one, nil), map[[2]int]screen.Idea{}
		for _, x := range g.Exchanges(two, nil) {
			second[x.Swap] = x
		}
		g.Exchange()

		good := map[string]bool{}
		for _, f := range g.All {
			good[f.Key] = true
		}
		for _, x := range first {
			y := second[x.Swap]
			switch {
			case !g.Seen[x.Key] || y.Score < g.Best()-search.ExchangeWindow:
			case good[x.Key]:
				require.True(t, g.Seen[y.Key], "seed %d, swap %v", seed, x.Swap)
				tried++
			case !g.Seen[y.Key]: // which may still be met by way of a third
				spared++
			}
		}
	}
	require.Positive(t, tried)
	require.Positive(t, spared)
}

// The evidence over all factors is the mean of that under each, with its weight.
func TestAverageIsAMean(t *testing.T) {
	_, s := kit.TrialStudy(t, 404)
	g := search.NewSearch(s, nil, nil)
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	require.True(t, f.Ok())
	g.Sound, g.All = f, []*fit.Fit{f}
	var each, weights []float64
	for _, k := range search.Scales() {
		if v, ok := s.Rescaled(f, k.Spread, k.Fresh); ok {
			each = append(each, v+k.Prior)
		}
		weights = append(weights, k.Prior)
	}
	g.Average()
	require.InDelta(t, numeric.LogSumExp(each)-numeric.LogSumExp(weights), f.Evidence, 0.02)
}
