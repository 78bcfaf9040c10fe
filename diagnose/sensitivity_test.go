package diagnose_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
)

// How many first answers change when a prior is halved or doubled: the table of
// diagnose/fault's page. None changes more than one answer in ten, and a result
// whose answer changes says so.
func TestSensitivityToPriors(t *testing.T) {
	n := kit.CasesOr(t, kit.Some(3, 6))
	flips, fragile, all := map[string]int{}, 0, 0
	for seed := range n {
		c, err := trial.NewCase(uint64(7000+seed), trial.Options{Ports: 3 + seed%6, Style: []survey.Style{survey.Sparse, survey.Normal, survey.Rich}[seed%3]})
		require.NoError(t, err)
		r, err := diagnose.Diagnose(t.Context(), c.System, c.Survey, diagnose.Options{Baselines: c.Baselines})
		require.NoError(t, err)
		for _, x := range r.Fragile {
			name := map[diagnose.PriorOf]string{diagnose.OfKind: x.Kind.String(), diagnose.OfAllKinds: "faults of every kind",
				diagnose.OfRows: "wrong rows", diagnose.OfUnlisted: "troubles on no list"}[x.Prior]
			flips[fmt.Sprintf("%s ×%g", name, x.By)]++
			all++
		}
		if len(r.Fragile) > 0 {
			fragile++
			require.Contains(t, r.Doubts, fault.Doubt{Kind: fault.FragileAnswer})
		}
	}
	for _, name := range []string{"leak", "blockage", "gate-restricted", "gate-leaking", "filter-loaded", "fan-weak", "faults of every kind", "wrong rows", "troubles on no list"} {
		t.Logf("%-22s ×½ %3d   ×2 %3d   of %d", name, flips[name+" ×0.5"], flips[name+" ×2"], n)
		all -= flips[name+" ×0.5"] + flips[name+" ×2"]
		require.LessOrEqual(t, max(flips[name+" ×0.5"], flips[name+" ×2"]), max(n/10, 2), name)
	}
	require.Zero(t, all, "a prior that has no line here: %v", flips)
	t.Logf("called fragile: %d of %d", fragile, n)
}
