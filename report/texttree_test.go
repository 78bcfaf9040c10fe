package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
)

// Of several suspect places on one duct the tree says which has what share.
func TestTreeTellsGateFromHose(t *testing.T) {
	at := func(k fault.Kind, where, name string, share float64) Candidate {
		return Candidate{Kind: k.String(), Where: where, Name: name, Share: share}
	}
	r := &Result{System: System{Ducts: []Duct{{ID: "main", Into: "collector"}, {ID: "hose", Into: "main", Gate: "saw", Port: "saw"}}}}
	f := Fault{Candidate: at(fault.GateRestricted, "saw", "gate saw not fully open", 0.5), Together: 0.99}
	f.Alike = []Candidate{at(fault.Blockage, "hose", "a blockage in duct hose", 0.3), at(fault.Blockage, "saw", hoodWords+"saw", 0.19)}
	alone := Fault{Candidate: at(fault.Leak, "main", "a leak in duct main", 0.8), Together: 0.8}
	r.Faults = []Fault{alone, f}
	tree := Tree(r)
	require.Contains(t, tree, "<== [1] gate 50 %, duct 30 %, hood 19 %", "the surer one is first")
	require.Contains(t, tree, "<== [2] 80 %")
	line := "`- hose  0, port saw  <== [1] gate 50 %, duct 30 %, hood 19 %"
	for width, fits := range map[int]bool{3 + len(line): true, 2 + len(line): false} {
		all := strings.Join(textTree(r, 24, width), "\n")
		require.Equal(t, fits, strings.Contains(all, ", port saw"), "in %d columns:\n%s", width, all)
	}
}

// A port that is short where no one runs it so is not short by design, since that
// would contradict the answer.
func TestShortByDesignIsOfSettingsInUse(t *testing.T) {
	x := 600.0
	p := Port{Need: 650, Expected: &x, Flow: &Interval{Value: 500, Low: 480, High: 520}}
	require.Equal(t, Crowded, p.State())
	p.InUse = true
	require.Equal(t, ByDesign, p.State())
	x = 700
	require.Equal(t, Short, p.State())
}

// The zero of an instrument is told in the digits that are known.
func TestAZeroThatIsOffInItsDigits(t *testing.T) {
	require.Equal(t, "+9.9", signed(Interval{Value: 9.902, Low: 8.1, High: 11.7}))
	require.Equal(t, "-10", signed(Interval{Value: -10.2, Low: -30, High: 9}))
}
