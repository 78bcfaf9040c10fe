package search_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/search"
)

// A row that is wrong in no way on the list may be anything: a flat density over
// four times its size and twenty of its standard deviations. By hand.
func TestDensityOfAnyOtherMistake(t *testing.T) {
	r := kit.NewRules(t)
	s := kit.Untaught(t, r.M, r.Survey(kit.Sound, kit.RuleTaps, nil))
	for i := range s.Observation {
		o := &s.Observation[i]
		w := search.Dropped(s, i)
		require.True(t, w.Drop)
		require.InDelta(t, -math.Log(4*math.Abs(o.Y)+20*o.Sd), w.Log, 1e-12)
		require.InDelta(t, 0.008*0.10, w.Prior, 1e-12)
	}
}
