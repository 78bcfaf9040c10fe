package repaired_test

import (
	"context"
	"fmt"
	"log"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/repair"
	"lostair/readings"
	"lostair/report/repaired"
)

// What a repair has brought, in sentences.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	before, list := readings.LoadFile("../../testdata/toy/weak.csv", sys.Units)
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	after, list := readings.LoadFile("../../testdata/toy/mended.csv", sys.Units)
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	x, err := repair.Compare(context.Background(), sys, before, after, repair.Options{})
	if err != nil {
		log.Fatal(err)
	}
	r := repaired.From(x, sys.Units)
	for _, s := range r.Summary {
		fmt.Println(s)
	}
	// Output:
	// It is better than before: over 99 %.
	// Gate lathe not fully open (43 %; or a blockage at the hood of lathe, 32 %; or a blockage in duct lathe-drop, 29 %) is put right; it was 42 % open (32 to 54).
	// Port lathe gets more air (+68 %; 9 in 10 sure: +61 to +76 %).
}
