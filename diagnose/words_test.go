package diagnose

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The bin is part of a zone that holds it, though it lies in no duct.
func TestAZoneHoldsTheBin(t *testing.T) {
	r := newRules(t)
	ss := sites(r.m)
	var members []int
	for i, s := range ss {
		if s.kind == Leak && (s.where == "bin" || s.where == "main") {
			members = append(members, i)
		}
	}
	require.Len(t, members, 2)
	require.Equal(t, "at the bin and somewhere along main, its join with what comes next included", zone(r.m, ss, members))
	require.NotContains(t, zone(r.m, ss, members[:1]), "bin")
}

// In a main there is no gate, hood or hose to look at; whatever is done to a
// restriction, what reads like one is said as well.
func TestWhereARestrictionIsLookedFor(t *testing.T) {
	r := newRules(t)
	s := &study{m: r.m}
	p := &posterior{g: &search{s: s}}
	main := &Fault{Candidate: Candidate{Kind: Blockage, Where: "main"}, Zone: "along main"}
	do, cost := remedy(main, p.pipeOnly(main))
	require.Contains(t, do, "With the fan locked off search along main")
	require.NotContains(t, do, "hood")
	require.Equal(t, costHour, cost)
	require.True(t, strings.HasSuffix(do, foundNothing))
	for _, x := range []Candidate{{Kind: Blockage, Where: "hose-a"}, {Kind: GateRestricted, Where: "a"}, {Kind: Blockage, Where: "port-a"}} {
		f := &Fault{Candidate: Candidate{Kind: Blockage, Where: "drop-b"}, Alike: []Candidate{x}, Zone: "there"}
		require.False(t, p.pipeOnly(f), x)
		do, _ := remedy(f, false)
		require.Contains(t, do, "is the gate open to its stop")
		require.True(t, strings.HasSuffix(do, foundNothing))
	}
}
