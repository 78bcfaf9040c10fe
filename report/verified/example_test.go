package verified_test

import (
	"context"
	"fmt"
	"log"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/verify"
	"lostair/readings"
	"lostair/report/verified"
)

// An install held against its design, in the reader's units.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	survey, list := readings.LoadFile("../../testdata/toy/weak.csv", sys.Units)
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	v, err := verify.Verify(context.Background(), sys, []*readings.Survey{survey}, verify.Options{})
	if err != nil {
		log.Fatal(err)
	}
	for _, l := range verified.From(v, sys.Units).Lines {
		if l.Topic == "port-need" {
			fmt.Printf("%s: %s, %.0f of at least %.0f %s\n", l.Where, l.Outcome, l.Value.Value, l.Least, l.Value.Unit)
		}
	}
	// Output:
	// lathe: fail, 718 of at least 1000 m3/h
	// bench: pass, 1574 of at least 1200 m3/h
}
