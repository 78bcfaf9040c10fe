package guided_test

import (
	"context"
	"fmt"
	"log"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/round"
	"lostair/report/guided"
)

// A question of a round, in words.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
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
	fmt.Println(guided.Gates(&ask[0]))
	fmt.Println(guided.Asked(sys, &ask[0]))
	fmt.Println("A sound system shows", guided.Range(&ask[0], sys.Units))
	// Output:
	// Gates: only lathe open.
	// Read the air speed at the mouth of lathe, where lathe-drop begins.
	// A sound system shows 38 to 48.2 m/s
}
