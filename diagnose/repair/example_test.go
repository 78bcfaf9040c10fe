package repair_test

import (
	"context"
	"fmt"
	"log"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/repair"
	"lostair/readings"
)

// What a repair has brought, from the readings before it and those after.
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
	fmt.Printf("better: %.2f\n", x.Improved)
	for _, p := range x.Ports {
		fmt.Printf("%s: %.2f to %.2f m3/s\n", p.Port, p.Before.Value, p.After.Value)
	}
	// Output:
	// better: 1.00
	// lathe: 0.20 to 0.34 m3/s
	// bench: 0.44 to 0.44 m3/s
}
