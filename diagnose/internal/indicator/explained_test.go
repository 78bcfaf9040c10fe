package indicator

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
)

// readingAt is the first observation of a point with only one gate open.
func readingAt(t *testing.T, b *observe.Bound, point, gate string) int {
	t.Helper()
	for i := range b.Observation {
		r := &b.Survey.Rows[b.Observation[i].Rows[0]]
		if r.Point == point && len(r.Open.Gates) == 1 && r.Open.Gates[0] == gate {
			return i
		}
	}
	require.Fail(t, "not read", "%s with %s", point, gate)
	return -1
}

// explained is what explains a reading of a survey of the rules' shop.
func explained(t *testing.T, k *Tracker, b *observe.Bound, i int, kept bool) (*explainer, *cause) {
	t.Helper()
	e := &explainer{t: k}
	return e, e.explains(b, i, nil, kept)
}

// A fault in a reading's own drop explains it, and the indicator of its port or its zone
// follows it, from where it takes that. A fault elsewhere does not.
func TestWhatExplainsAReading(t *testing.T) {
	r, k := taught(t)
	c := k.coefs()
	for _, x := range []struct {
		name   string
		hurt   kit.Hurt
		kind   fault.Kind // of the indicator; Undersized: nothing explains it
		where  string
		amount float64 // K or m²
	}{
		{"a clogged hose", kit.BlockageIn("hose-b", 0, 0.6), fault.Blockage, "port-b", handbook.BlockageLoss(0.6)},
		{"a gate", kit.GateAt("b", 0.35), fault.Blockage, "port-b", handbook.GateLoss(0.35)},
		{"a hole behind the gate", kit.LeakIn("hose-b", 1, 12e-4), fault.Leak, "drop-b, hose-b", 12e-4},
		{"a hole in the trunk", kit.LeakIn("main", 0, 30e-4), fault.Undersized, "", 0},
		{"a drop that is not read", kit.BlockageIn("hose-c", 0, 0.6), fault.Undersized, "", 0},
	} {
		b := boundOf(t, r, x.hurt)
		e, got := explained(t, k, b, readingAt(t, b, "B2", "b"), false)
		if x.kind == fault.Undersized {
			require.Nil(t, got, x.name)
			require.Empty(t, e.found)
			continue
		}
		require.NotNil(t, got, x.name)
		in := k.List[got.ind]
		require.Equal(t, x.kind, in.Kind, x.name)
		require.Equal(t, x.where, in.Where, x.name)
		amount := got.at * got.as.Unit * got.as.spots[0].Share
		require.InEpsilon(t, x.amount, amount, 0.5, x.name)
		require.Len(t, e.found, 1)
		require.Equal(t, e.found[0].Spots[0].Slot, got.as.spots[0].Slot, "it lies at the fault's own place")
		if x.kind == fault.Blockage {
			require.Equal(t, *got.as.spots[0].Slot.Of(&c), got.as.from)
		}
		// told once it is no cause again, and no more are told than there can be episodes
		i := readingAt(t, b, "B1", "b")
		if again := e.explains(b, i, nil, false); again != nil {
			require.NotEqual(t, e.found[0].Site, e.found[1].Site, x.name)
		}
		for len(e.found) < MostFaults {
			e.found = append(e.found, e.found[0])
		}
		require.Nil(t, e.explains(b, i, nil, true))
	}
}

// No more faults are told of one survey than there can be episodes.
func TestNoMoreThanSoManyFaultsExplain(t *testing.T) {
	r, k := taught(t)
	b := boundOf(t, r, kit.BlockageIn("hose-b", 0, 0.6))
	i := readingAt(t, b, "B2", "b")
	e, got := explained(t, k, b, i, true)
	require.NotNil(t, got)
	e.found = nil
	for _, s := range e.sites { // others, which fit beside it
		if len(e.found) < MostFaults && (s.Kind == fault.GateLeaking || s.Kind == fault.Leak) && (s.Duct < 0 || len(k.ownDucts(b, i)[s.Duct]) == 0) {
			e.found = append(e.found, s.Variants[0])
		}
	}
	require.Len(t, e.found, MostFaults)
	require.Nil(t, e.explains(b, i, nil, true))
	e.found = e.found[:MostFaults-1]
	require.NotNil(t, e.explains(b, i, nil, true))
}

// A slip explains a reading written ten times too large better than any fault, and what it
// is worth counts the likelihood of its kind; a reading that is kept needs a fault only to
// fit better than none.
func TestASlipIsARivalOfAFault(t *testing.T) {
	r, k := taught(t)
	b := boundOf(t, r, kit.Sound)
	i := readingAt(t, b, "B2", "b")
	o := &b.Observation[i]
	sound := o.Y
	*o = o.Valued(10*sound, b.Survey.Readings[o.Reading].Quantity, r.M.Air.Density)
	e, got := explained(t, k, b, i, false)
	require.Nil(t, got)
	base := e.s.Fit(fit.Hypothesis{}, e.start(nil))
	dropped := search.Dropped(e.s, i)
	left := e.s.Fit(fit.Hypothesis{Rows: []*fit.Wrong{dropped}}, e.start(nil)).Evidence + math.Log(dropped.Prior)
	slip := e.asSlip(base, i)
	require.Greater(t, slip, left+1, "ten times too large has a name")
	best := math.Inf(-1)
	for _, w := range e.slips {
		if w.Observation == i && !w.Drop {
			if f := e.s.Fit(fit.Hypothesis{Rows: []*fit.Wrong{w}}, e.start(nil)); f.Ok() {
				best = math.Max(best, f.Evidence+math.Log(w.Prior))
			}
		}
	}
	require.InDelta(t, best, slip, 0.05, "the best of all that it may be is among those tried")

	// of a reading that is kept nobody asks whether a slip explains it better
	*o = o.Valued(0.8*sound, b.Survey.Readings[o.Reading].Quantity, r.M.Air.Density)
	_, got = explained(t, k, b, i, false)
	require.Nil(t, got, "nothing else goes with it")
	_, got = explained(t, k, b, i, true)
	require.NotNil(t, got)
}

// A port's own ducts are those of its drop, up to where it joins what serves others; a
// reading is of the port whose duct it stands in, or behind which alone a gate is open.
func TestAReadingsOwnDucts(t *testing.T) {
	r, k := taught(t)
	b := boundOf(t, r, kit.Sound)
	names := func(i int) map[string][]int {
		out := map[string][]int{}
		for d, ports := range k.ownDucts(b, i) {
			out[r.Sys.Ducts[d].ID] = ports
		}
		return out
	}
	drop := map[string][]int{"drop-b": {1}, "hose-b": {1}}
	require.Equal(t, drop, names(readingAt(t, b, "B2", "b")))
	require.Equal(t, drop, names(readingAt(t, b, "M", "b")), "the trunk, with that port alone open")
	require.Equal(t, map[string][]int{"drop-a": {0}, "hose-a": {0}, "drop-b": {1}, "hose-b": {1}}, names(readingAt(t, b, "A2", "b")), "another's tap, with that port alone open")
}

// Of a survey full of slips no more than a third is set aside.
func TestNoMoreThanAThirdIsSetAside(t *testing.T) {
	r, k := taught(t)
	change := map[int]float64{}
	for i := range 18 {
		change[3+2*i] = -60 * float64(40+i*i) // rows of the file, each of another size
	}
	b, bad := observe.Bind(r.M, r.Survey(kit.Sound, kit.RuleTaps, change))
	require.NoError(t, bad.Err())
	require.Len(t, b.Observation, 40)
	got, err := k.fitIndicators(b, nil)
	require.NoError(t, err)
	require.Len(t, got.Wrong, 40/3)
}
