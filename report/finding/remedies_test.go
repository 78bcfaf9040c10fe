package finding

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings/units"
)

// twoDrops is a system with rigid drops, one of them ending in a hose.
func twoDrops() *duct.System {
	return &duct.System{Units: units.Metric,
		Ducts: []duct.Duct{
			{ID: "main", Into: duct.IntoCollector, Diameter: 0.15, Material: "spiral"},
			{ID: "drop-a", Diameter: 0.1, Material: "spiral", Gate: "a"},
			{ID: "hose-a", Into: 1, Diameter: 0.1, Material: "flexible"},
			{ID: "drop-b", Diameter: 0.1, Material: "spiral", Gate: "b"},
		},
		Ports: []duct.Port{{ID: "port-a", Duct: 2}, {ID: "port-b", Duct: 3}},
	}
}

func candidates(kind fault.Kind, where ...string) (out []fault.Candidate) {
	for _, w := range where {
		out = append(out, fault.Candidate{Kind: kind, Where: w})
	}
	return out
}

// The bin is part of a zone that holds it, though it is no duct.
func TestAZoneHoldsTheBin(t *testing.T) {
	require.Equal(t, "along main and at the bin", zone(twoDrops(), candidates(fault.Leak, "main", "bin")))
	require.NotContains(t, zone(twoDrops(), candidates(fault.Leak, "main")), "bin")
}

// A zone names the places of its members and no other.
func TestAZoneHoldsItsMembers(t *testing.T) {
	sys := twoDrops()
	require.Equal(t, "along drop-a and hose-a", zone(sys, candidates(fault.Leak, "drop-a", "hose-a")))
	all := append(candidates(fault.GateRestricted, "a"), candidates(fault.Blockage, "hose-a", "port-a")...)
	require.Equal(t, "at the gate a, along hose-a and at the hood of port-a", zone(sys, all))
}

// Of a restriction only that is asked which is among its members.
func TestWhereARestrictionIsLookedFor(t *testing.T) {
	gate, hood, hose := "is the gate a open to its stop", "is the hood or grille of port-a clogged", "is the hose hose-a kinked"
	c := Words{D: &diagnose.Result{System: twoDrops()}}
	do := c.Fix(diagnose.Fix{For: candidates(fault.Blockage, "main")})
	require.Contains(t, do, "With the fan locked off look: is there settled dust, an offcut or a rag in main?")
	require.NotContains(t, do, "hood")
	for _, x := range []struct {
		like []fault.Candidate
		asks string
	}{
		{candidates(fault.Blockage, "hose-a"), hose},
		{candidates(fault.GateRestricted, "a"), gate},
		{candidates(fault.Blockage, "port-a"), hood},
	} {
		do := c.Fix(diagnose.Fix{For: append(candidates(fault.Blockage, "drop-b"), x.like...)})
		for _, q := range []string{gate, hood, hose} {
			require.Equal(t, q == x.asks, strings.Contains(do, q), "%s: %s", x.like[0].Where, do)
		}
	}
}
