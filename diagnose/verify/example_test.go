package verify_test

import (
	"context"
	"fmt"
	"log"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/verify"
	"lostair/readings"
)

// Each demand on an install passes, fails or is not shown.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	survey, list := readings.LoadFile("../../testdata/toy/weak.csv", sys.Units)
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	r, err := verify.Verify(context.Background(), sys, []*readings.Survey{survey}, verify.Options{})
	if err != nil {
		log.Fatal(err)
	}
	for _, l := range r.Lines {
		if l.Topic == verify.PortNeed {
			fmt.Printf("%s: %s, %.2f m3/s of at least %.2f\n", l.Where, l.Outcome, l.Value.Value, l.Least)
		}
	}
	// Output:
	// lathe: fail, 0.20 m3/s of at least 0.28
	// bench: pass, 0.44 m3/s of at least 0.33
}
