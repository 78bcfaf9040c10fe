package diagnose_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/internal/weigh"
)

// The bin is part of a zone that holds it, though it lies in no duct.
func TestAZoneHoldsTheBin(t *testing.T) {
	r := kit.NewRules(t)
	ss := fault.Sites(r.M)
	var members []int
	for i, s := range ss {
		if s.Kind == fault.Leak && (s.Where == "bin" || s.Where == "main") {
			members = append(members, i)
		}
	}
	require.Len(t, members, 2)
	require.Equal(t, "at the bin and somewhere along main, its join with what comes next included", diagnose.Zone(r.M, ss, members))
	require.NotContains(t, diagnose.Zone(r.M, ss, members[:1]), "bin")
}

// In a main there is no gate, hood or hose to look at; whatever is done to a
// restriction, what reads like one is said as well.
func TestWhereARestrictionIsLookedFor(t *testing.T) {
	r := kit.NewRules(t)
	s := &fit.Study{M: r.M}
	p := &weigh.Posterior{G: &search.Search{S: s}}
	main := &diagnose.Fault{Candidate: fault.Candidate{Kind: fault.Blockage, Where: "main"}, Zone: "along main"}
	do, cost := diagnose.Remedy(main, diagnose.PipeOnly(p, main))
	require.Contains(t, do, "With the fan locked off search along main")
	require.NotContains(t, do, "hood")
	require.Equal(t, diagnose.CostHour, cost)
	require.True(t, strings.HasSuffix(do, diagnose.FoundNothing))
	for _, x := range []fault.Candidate{{Kind: fault.Blockage, Where: "hose-a"}, {Kind: fault.GateRestricted, Where: "a"}, {Kind: fault.Blockage, Where: "port-a"}} {
		f := &diagnose.Fault{Candidate: fault.Candidate{Kind: fault.Blockage, Where: "drop-b"}, Alike: []fault.Candidate{x}, Zone: "there"}
		require.False(t, diagnose.PipeOnly(p, f), x)
		do, _ := diagnose.Remedy(f, false)
		require.Contains(t, do, "is the gate open to its stop")
		require.True(t, strings.HasSuffix(do, diagnose.FoundNothing))
	}
}
