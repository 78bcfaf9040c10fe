package diagnose

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// What leads is looked at again under other factors: all that is near the best,
// and nothing far below it.
func TestLead(t *testing.T) {
	g := &search{}
	for _, e := range []float64{0, -3, -leadWindow + 0.1, -leadWindow - 0.1} {
		g.all = append(g.all, &fitted{ok: true, evidence: e})
	}
	lead := g.lead()
	require.Len(t, lead, 3)
	require.InDelta(t, -3, lead[1].score, 0)
	for range 2 * fitsALevel {
		g.all = append(g.all[:1:1], g.all...)
	}
	require.Len(t, g.lead(), fitsALevel)
}

// A search that only looked for the factors goes on from what it found, as far
// as one that was none from the start.
func TestAScoutingSearchGoesOn(t *testing.T) {
	_, s := trialStudy(t, 408)
	best := map[bool]float64{}
	for _, scouting := range []bool{true, false} {
		g := newSearch(s, sites(s.m), s.wrongRows())
		g.scouting = scouting
		require.NoError(t, g.run(t.Context(), nil))
		if scouting {
			n := len(g.all)
			require.NoError(t, g.again(t.Context(), nil))
			require.Greater(t, len(g.all), n)
			require.False(t, g.scouting)
			seen := map[string]bool{}
			for _, f := range g.all {
				require.False(t, seen[f.key], "nothing is fitted twice")
				seen[f.key] = true
			}
		}
		best[scouting] = g.best()
	}
	require.InDelta(t, best[false], best[true], 0.1)
}

// A neighbour that was hopeless in place of a fault is not put there again.
func TestPoorSwapsAreLeftOut(t *testing.T) {
	_, s := trialStudy(t, 405)
	g := newSearch(s, sites(s.m), nil)
	sound := s.fit(hypothesis{}, point{theta: s.pr.mean})
	g.sound, g.all = sound, []*fitted{sound}
	var v *variant
	for _, x := range g.sites {
		if x.kind == Blockage {
			v = x.variants[0]
		}
	}
	f := s.fit(hypothesis{faults: []*variant{v}}, sound.at)
	require.True(t, f.ok)
	all := g.exchanges(f, nil)
	require.Greater(t, len(all), 2)
	poor := map[[2]int]bool{all[1].swap: true}
	left := g.exchanges(f, poor)
	require.Len(t, left, len(all)-1)
	for _, x := range left {
		require.NotEqual(t, all[1].swap, x.swap)
	}
}

// Of two sets with faults in common, what is as good in place of one in the first
// is tried in the other too, and what was hopeless there is not.
func TestExchangesLearnFromOneAnother(t *testing.T) {
	tried, spared := 0, 0
	for _, seed := range []uint64{411, 415, 421, 423} {
		_, s := trialStudy(t, seed)
		g := newSearch(s, sites(s.m), nil)
		require.NoError(t, g.run(t.Context(), nil))
		one := g.all[0]
		h := one.hypothesis
		for _, x := range g.sites {
			if x.kind == FilterLoaded {
				h.faults = append(slices.Clone(h.faults), x.variants[0])
			}
		}
		two := s.fit(h, one.at)
		require.True(t, two.ok)
		two.prior = one.score() - 0.5 - two.evidence // as likely, all but
		two.key = keyOf(h, g.vid, g.wid)
		g.all, g.seen = []*fitted{one, two, g.sound}, map[string]bool{one.key: true, two.key: true}
		first, second := g.exchanges(one, nil), map[[2]int]idea{}
		for _, x := range g.exchanges(two, nil) {
			second[x.swap] = x
		}
		g.exchange()

		good := map[string]bool{}
		for _, f := range g.all {
			good[f.key] = true
		}
		for _, x := range first {
			y := second[x.swap]
			switch {
			case !g.seen[x.key] || y.score < g.best()-exchangeWindow:
			case good[x.key]:
				require.True(t, g.seen[y.key], "seed %d, swap %v", seed, x.swap)
				tried++
			case !g.seen[y.key]: // which may still be met by way of a third
				spared++
			}
		}
	}
	require.Positive(t, tried)
	require.Positive(t, spared)
}

// The evidence over all factors is the mean of that under each, with its weight.
func TestAverageIsAMean(t *testing.T) {
	_, s := trialStudy(t, 404)
	g := newSearch(s, nil, nil)
	f := s.fit(hypothesis{}, point{theta: s.pr.mean})
	require.True(t, f.ok)
	g.sound, g.all = f, []*fitted{f}
	var each, weights []float64
	for _, k := range scales() {
		if v, ok := s.rescaled(f, k.spread, k.fresh); ok {
			each = append(each, v+k.prior)
		}
		weights = append(weights, k.prior)
	}
	g.average()
	require.InDelta(t, logSum(each)-logSum(weights), f.evidence, 0.02)
}
