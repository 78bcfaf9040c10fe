package plan_test

import (
	"context"
	"fmt"
	"log"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/plan"
)

// The five readings that tell most for the minutes they take.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	r, err := plan.Plan(context.Background(), sys, nil, 5)
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range r.Stops {
		fmt.Printf("open %s: %s at %s, %.0f to %.0f\n", s.Open, s.Quantity, s.Point, s.Expected.Low, s.Expected.High)
	}
	fmt.Printf("%.0f minutes\n", r.Minutes)
	// Output:
	// open lathe: velocity at lathe, 38 to 48
	// open lathe: static_pressure at L, -2473 to -1663
	// open bench: static_pressure at M, -2006 to -1527
	// open bench: static_pressure at B, -2050 to -1476
	// open all: static_pressure at M, -1555 to -1186
	// 14 minutes
}
