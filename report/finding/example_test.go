package finding_test

import (
	"fmt"
	"log"

	"lostair/diagnose"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/fault"
	"lostair/readings/units"
	"lostair/report/finding"
)

// A fault in the words of the trade: its name, and what to do about it.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	w := finding.Words{D: &diagnose.Result{System: sys}, U: units.Metric}
	x := fault.Candidate{Kind: fault.Blockage, Where: "lathe-drop", Probability: 0.9}
	fmt.Println(w.Name(x.Kind, x.Where))
	fmt.Println(w.Fix(diagnose.Fix{For: []fault.Candidate{x}}))
	// Output:
	// a blockage in duct lathe-drop
	// With the fan locked off look: is there settled dust, an offcut or a rag in lathe-drop? Clear it.
}
