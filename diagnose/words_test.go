package diagnose_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
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
	require.Equal(t, "at the bin and along main", diagnose.Zone(r.M, ss, members))
	require.NotContains(t, diagnose.Zone(r.M, ss, members[:1]), "bin")
}

// A zone names the places of its members and no other.
func TestAZoneHoldsItsMembers(t *testing.T) {
	r := kit.NewRules(t)
	ss := fault.Sites(r.M)
	pick := func(kind fault.Kind, where ...string) (out []int) {
		for _, w := range where {
			for i, s := range ss {
				if s.Kind == kind && s.Where == w {
					out = append(out, i)
				}
			}
		}
		return out
	}
	require.Equal(t, "along drop-a and hose-a", diagnose.Zone(r.M, ss, pick(fault.Leak, "drop-a", "hose-a")))
	members := append(pick(fault.GateRestricted, "a"), pick(fault.Blockage, "hose-a", "port-a")...)
	require.Equal(t, "at the gate a, at the hood of port-a and along hose-a", diagnose.Zone(r.M, ss, members))
}

// Of a restriction only that is asked which is among its members.
func TestWhereARestrictionIsLookedFor(t *testing.T) {
	sys := kit.NewRules(t).M.Sys
	gate, hood, hose := "is the gate a open to its stop", "is the hood or grille of port-a clogged", "is the hose hose-a kinked"
	main := &diagnose.Fault{Candidate: fault.Candidate{Kind: fault.Blockage, Where: "main"}, Zone: "along main"}
	do, cost := diagnose.Remedy(sys, main)
	require.Contains(t, do, "With the fan locked off look: is there settled dust, an offcut or a rag in main?")
	require.NotContains(t, do, "hood")
	require.Equal(t, diagnose.CostHour, cost)
	for _, x := range []struct {
		like fault.Candidate
		asks string
	}{{fault.Candidate{Kind: fault.Blockage, Where: "hose-a"}, hose}, {fault.Candidate{Kind: fault.GateRestricted, Where: "a"}, gate}, {fault.Candidate{Kind: fault.Blockage, Where: "port-a"}, hood}} {
		f := &diagnose.Fault{Candidate: fault.Candidate{Kind: fault.Blockage, Where: "drop-b"}, Alike: []fault.Candidate{x.like}, Zone: "there"}
		do, _ := diagnose.Remedy(sys, f)
		for _, q := range []string{gate, hood, hose} {
			require.Equal(t, q == x.asks, strings.Contains(do, q), "%s: %s", x.like.Where, do)
		}
	}
}
