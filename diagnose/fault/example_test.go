package fault_test

import (
	"fmt"
	"log"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/fault"
)

// What may be wrong in a shop, and how likely each is before any reading.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range fault.Sites(m) {
		if s.Where == "lathe" {
			fmt.Printf("%s at %s: %.3f, measured as %s\n", s.Kind, s.Where, s.Prior, s.Kind.Measure())
		}
	}
	// Output:
	// blockage at lathe: 0.060, measured as share of the bore closed
	// gate-restricted at lathe: 0.090, measured as share of its travel that is open
	// gate-leaking at lathe: 0.055, measured as open area left when it is shut
}
