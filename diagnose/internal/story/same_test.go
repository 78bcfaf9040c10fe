package story

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
)

// Two episodes are one if they are of one sort, may have begun together, and a quarter of
// the weaker one's chance lies at places of the stronger; or if the weaker is a tenth of
// the stronger, where what is left is asked for.
func TestWhenTwoEpisodesAreOne(t *testing.T) {
	x := &story{all: make([]*telling, 6), sites: []*fault.Site{{Kind: fault.Leak}, {Kind: fault.Leak}, {Kind: fault.FanWeak}}}
	of := func(from int, weight float64, like ...likeness) *strand {
		return &strand{site: like[0].site, paths: []path{{from: from, to: 6}}, like: like, weight: weight}
	}
	strong := of(2, 100, likeness{0, 1})
	for _, c := range []struct {
		weak        *strand
		whole, left bool
	}{
		{of(2, 50, likeness{1, 1}), false, false},
		{of(2, 50, likeness{1, 0.7}, likeness{0, 0.3}), true, true},
		{of(2, 50, likeness{1, 0.8}, likeness{0, 0.2}), false, false},
		{of(3, 50, likeness{1, 0.7}, likeness{0, 0.3}), false, false},
		{of(2, 50, likeness{2, 0.7}, likeness{0, 0.3}), false, false},
		{of(2, 9, likeness{2, 1}), false, true},
		{of(2, 11, likeness{2, 1}), false, false},
		{of(1, 9, likeness{2, 1}), false, false},
	} {
		require.Equal(t, c.whole, x.same(strong, c.weak, false), "%+v", c.weak)
		require.Equal(t, c.left, x.same(strong, c.weak, true), "%+v", c.weak)
	}
	a, b, c := of(2, 9, likeness{2, 1}), of(2, 100, likeness{0, 1}), of(4, 8, likeness{0, 1})
	x.found = []*strand{a, b, c}
	x.merge(true)
	require.Equal(t, []*strand{b, c}, x.found, "the strongest first")
}
