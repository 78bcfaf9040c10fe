package diagnose

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/fault"
)

// A restriction takes an hour if it sits in rigid duct for certain, and minutes
// if it may be looked for at a gate, a hood or a hose first.
func TestWhatARestrictionCosts(t *testing.T) {
	sys := &duct.System{Ducts: []duct.Duct{{ID: "main", Material: "spiral", Gate: "a"}, {ID: "hose-a", Material: "flexible"}},
		Ports: []duct.Port{{ID: "port-a", Duct: 1}}}
	main := fault.Candidate{Kind: fault.Blockage, Where: "main"}
	require.Equal(t, costHour, costOf(sys, []fault.Candidate{main}))
	for _, like := range []fault.Candidate{
		{Kind: fault.Blockage, Where: "hose-a"},
		{Kind: fault.GateRestricted, Where: "a"},
		{Kind: fault.Blockage, Where: "port-a"},
	} {
		require.Equal(t, costMinutes, costOf(sys, []fault.Candidate{main, like}), like.Where)
	}
}

// Whatever is found costs something to mend, and an unknown kind is none of the others.
func TestEveryKindHasItsCost(t *testing.T) {
	sys, problems := systemfile.LoadFile("../cmd/lostair/demo/system.yaml")
	require.NoError(t, problems.Err())
	for _, k := range fault.SearchedKinds() {
		require.Positive(t, costOf(sys, []fault.Candidate{{Kind: k, Where: "saw-drop"}}), k.String())
	}
	require.Panics(t, func() { costOf(sys, []fault.Candidate{{Kind: fault.Kind(len(fault.Kinds()))}}) })
}
