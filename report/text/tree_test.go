package text

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/report"
)

// Of several suspect places on one duct the tree says which has what share.
func TestTreeTellsGateFromHose(t *testing.T) {
	at := func(k fault.Kind, where, name string, share float64) report.Candidate {
		return report.Candidate{Kind: k.String(), Where: where, Name: name, Share: share}
	}
	r := &report.Result{System: report.System{Ducts: []report.Duct{{ID: "main", Into: "collector"}, {ID: "hose", Into: "main", Gate: "saw", Port: "saw"}}}}
	f := report.Fault{Candidate: at(fault.GateRestricted, "saw", "gate saw not fully open", 0.5), Together: 0.99}
	f.Alike = []report.Candidate{at(fault.Blockage, "hose", "a blockage in duct hose", 0.3), at(fault.Blockage, "saw", "a blockage at the hood of saw", 0.19)}
	alone := report.Fault{Candidate: at(fault.Leak, "main", "a leak in duct main", 0.8), Together: 0.8}
	r.Faults = []report.Fault{alone, f}
	tree := Tree(r)
	require.Contains(t, tree, "<== [1] gate 50 %, duct 30 %, hood 19 %", "the surer one is first")
	require.Contains(t, tree, "<== [2] 80 %")
	line := "`- hose  0, port saw  <== [1] gate 50 %, duct 30 %, hood 19 %"
	for width, fits := range map[int]bool{3 + len(line): true, 2 + len(line): false} {
		all := strings.Join(lines(r, 24, width), "\n")
		require.Equal(t, fits, strings.Contains(all, ", port saw"), "in %d columns:\n%s", width, all)
	}
}
