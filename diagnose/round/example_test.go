package round_test

import (
	"context"
	"fmt"
	"log"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/round"
	"lostair/readings"
)

// The first question of a round, what its answer means, and what to do at the end.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	survey, list := readings.LoadFile("../../testdata/toy/weak.csv", sys.Units)
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	ctx := context.Background()
	complaint, err := round.ParseComplaint(sys, "weak at lathe")
	if err != nil {
		log.Fatal(err)
	}
	r, err := round.Begin(ctx, round.Situation{System: sys, Complaint: complaint})
	if err != nil {
		log.Fatal(err)
	}
	ask, err := r.Questions(ctx, 1)
	if err != nil {
		log.Fatal(err)
	}
	q := &ask[0]
	fmt.Printf("open %s, read %s at %s\n", q.Row.Open, q.Row.Quantity, q.Row.Point)
	row, explicit, err := r.Typed(q, "24.8", "m/s")
	if err != nil {
		log.Fatal(err)
	}
	_, odd, err := r.Judge(q, &row, explicit)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("looks like a slip:", odd)

	r, err = round.Begin(ctx, round.Situation{System: sys, Complaint: complaint, Survey: survey}) // some readings later
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("enough:", r.Enough().Yes)
	for _, q := range r.Proof(nil) {
		fmt.Printf("when it is mended: open %s, read %s at %s\n", q.Row.Open, q.Row.Quantity, q.Row.Point)
	}
	// Output:
	// open lathe, read velocity at lathe
	// looks like a slip: false
	// enough: false
	// when it is mended: open lathe, read velocity at lathe
	// when it is mended: open lathe, read static_pressure at L
	// when it is mended: open lathe, read static_pressure at M
}
