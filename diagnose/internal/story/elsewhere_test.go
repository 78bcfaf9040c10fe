package story

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
)

// siteOf is the index of a kind of fault at a place.
func (x *story) siteOf(t *testing.T, k fault.Kind, where string) int {
	t.Helper()
	for i, s := range x.sites {
		if s.Kind == k && s.Where == where {
			return i
		}
	}
	require.Fail(t, "no such site", "%s %s", k, where)
	return -1
}

// beginning finds the episode at one site beside what is held, and takes it.
func (x *story) beginning(t *testing.T, site int, like ...int) *strand {
	t.Helper()
	require.NoError(t, x.each(t.Context(), func(i int) { x.look(i, []int{site}) }))
	e := x.strongest([]int{site})
	require.NotNil(t, e)
	e.like = nil
	for _, l := range append([]int{site}, like...) {
		e.like = append(e.like, likeness{l, 1 / float64(len(like)+1)})
	}
	x.take(e)
	return e
}

// holeThenGate is the story of a hole in a hose from the second survey on and, from the
// fourth on, that drop's gate half shut; port c is clogged in two of them.
func holeThenGate(t *testing.T) *story {
	t.Helper()
	r, k := taught(t)
	hole, gate, clog := kit.LeakIn("hose-b", 1, 8e-4), kit.GateAt("b", 0.45), kit.BlockageIn("hose-c", 1, 0.5)
	var all []*observe.Bound
	for _, h := range [][]kit.Hurt{nil, {hole}, {hole}, {hole, gate}, {hole, gate, clog}, {hole, gate, clog}} {
		all = append(all, boundOf(t, r, together(h)))
	}
	x, err := tellStory(t.Context(), k, all, make([][]int, len(all)), 1)
	require.NoError(t, err)
	return x
}

// on are the surveys in which an episode is there.
func on(e *strand) (out []int) {
	for i, p := range e.on {
		if p >= 0.5 {
			out = append(out, i)
		}
	}
	return out
}

// whole is where and when the story has its episodes.
func whole(x *story) map[int][]int {
	out := map[int][]int{}
	for _, e := range x.found {
		out[e.site] = on(e)
	}
	return out
}

// What was found first at a wrong place, with what is left of it told as something else,
// is told at the right places once the whole is weighed.
func TestAStoryIsToldAnewAtOtherPlaces(t *testing.T) {
	x := holeThenGate(t)
	hole, gate, trunk := x.siteOf(t, fault.Leak, "hose-b"), x.siteOf(t, fault.GateRestricted, "b"), x.siteOf(t, fault.Leak, "main")
	clog := x.siteOf(t, fault.GateRestricted, "c") // looks the same
	right := map[int][]int{hole: {1, 2, 3, 4, 5}, gate: {3, 4, 5}, clog: {4, 5}}
	require.Equal(t, right, whole(x))

	// The right story stays as it is, and is held.
	require.NoError(t, x.elsewhere(t.Context()))
	require.Equal(t, right, whole(x))
	require.Len(t, x.all[5].base.Faults, 3)
	require.Len(t, x.all[2].base.Faults, 1)

	// As the first look told it: the gate from the first on, and a hole in the trunk.
	wrong := func() []*strand {
		require.NoError(t, x.hold(t.Context(), nil))
		first := x.beginning(t, gate, hole)
		second := x.beginning(t, hole, gate)
		third := x.beginning(t, clog)
		second.like = append(second.like, likeness{trunk, 0.1})
		return []*strand{first, second, third}
	}
	told := wrong()
	x.found = told
	require.Equal(t, []int{1, 2, 3, 4, 5}, on(told[0]), "the gate stands for the hole")
	out, sum, err := x.told(t.Context(), 0, hole, told)
	require.NoError(t, err)
	require.Len(t, out, 3)
	require.Equal(t, []int{hole, gate, clog}, []int{out[0].site, out[1].site, out[2].site})
	require.Equal(t, [][]int{{1, 2, 3, 4, 5}, {3, 4, 5}, {4, 5}}, [][]int{on(out[0]), on(out[1]), on(out[2])})
	require.Same(t, told[2], out[2], "it meets none of them, and is as it was")
	require.Equal(t, told[0].like, out[0].like, "where else it may be is weighed again")
	require.InDelta(t, out[0].weight+out[1].weight, sum, 1e-9)
	require.Len(t, x.all[5].base.Faults, 3, "all are held")
	_, as, err := x.told(t.Context(), 0, gate, told)
	require.NoError(t, err)
	require.Greater(t, sum, as+clearlyMore)

	// What is not there any more beside the first makes no story.
	none := *told[1]
	none.like = []likeness{{x.siteOf(t, fault.GateLeaking, "b"), 1}}
	out, _, err = x.told(t.Context(), 0, hole, []*strand{told[0], &none})
	require.NoError(t, err)
	require.Nil(t, out)

	x.found = wrong()
	require.NoError(t, x.elsewhere(t.Context()))
	require.Equal(t, right, whole(x))

	// One alone is nowhere else for another's sake, nor one that meets no other.
	x.found = wrong()[:1]
	require.NoError(t, x.elsewhere(t.Context()))
	require.Equal(t, gate, x.found[0].site)
	apart := wrong()
	x.found = []*strand{apart[0], apart[2]}
	require.NoError(t, x.elsewhere(t.Context()))
	require.Equal(t, []int{gate, clog}, []int{x.found[0].site, x.found[1].site})
}

// What is told and explained as well by those found after it goes, and nothing with it.
func TestWhatOthersExplainIsNotToldTwice(t *testing.T) {
	x := holeThenGate(t)
	right := whole(x)
	trunk := x.siteOf(t, fault.Leak, "main")
	made := &strand{site: trunk, like: []likeness{{trunk, 1}}, on: make([]float64, len(x.all))}
	x.found = append([]*strand{made}, x.found...)
	require.NoError(t, x.again(t.Context()))
	require.Equal(t, right, whole(x))
}
