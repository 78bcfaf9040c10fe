package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/fault"
	"lostair/readings/units"
	"lostair/report/show"
)

// Every kind has its own words wherever a result names it, and an unknown kind gets
// none of another's.
func TestEveryKindHasItsWords(t *testing.T) {
	sys, problems := systemfile.LoadFile("../../cmd/lostair/demo/system.yaml")
	require.NoError(t, problems.Err())
	c := Words{D: &diagnose.Result{System: sys}, U: units.Metric}
	told, named := map[string]fault.Kind{}, map[string]fault.Kind{}
	for _, k := range fault.Kinds() {
		w := faultWords(k, "saw")
		require.NotContains(t, told, w)
		told[w] = k
		if k == fault.Altered { // no result names one as a fault
			continue
		}
		x := show.KindWords(k)
		for _, s := range []string{x.Name, x.Many, x.HowBad, x.Do} {
			require.NotEmpty(t, s, k.String())
		}
		n := c.Name(k, "saw-drop")
		require.NotContains(t, named, n)
		named[n] = k
		if !k.Searched() {
			continue
		}
		at := fault.Candidate{Kind: k, Where: "saw-drop", Probability: 1}
		assert.NotEmpty(t, c.Fix(diagnose.Fix{For: []fault.Candidate{at}}), k.String())
		assert.NotEmpty(t, zone(sys, []fault.Candidate{at}), k.String())
	}
	unknown := fault.Kind(len(fault.Kinds()))
	require.Panics(t, func() { faultWords(unknown, "saw") })
	require.Panics(t, func() { show.KindWords(unknown) })
	require.Panics(t, func() { zone(sys, []fault.Candidate{{Kind: unknown, Where: "saw-drop"}}) })
}
