package trade_test

import (
	"fmt"
	"math"

	"lostair/diagnose/duct/trade"
	"lostair/readings/units"
)

// A tapered hood loses less than a plain end, and its angle says how much.
func ExampleHoodNamed() {
	for _, name := range []string{"plain", "cone"} {
		h, _ := trade.HoodNamed(name)
		fmt.Printf("%s: %.2f, at 45 degrees %.2f\n", h.Name, h.Loss, h.EntryLoss(math.Pi/4))
	}
	// Output:
	// plain: 0.93, at 45 degrees 0.93
	// cone: 0.15, at 45 degrees 0.06
}

// A machine by what people call it.
func ExampleUsualOf() {
	u, ok := trade.UsualOf(`12" thicknesser`, units.US)
	fmt.Println(u.Says(units.US), ok)
	// Output:
	// a planer (knives to 13 in) usually needs 400 to 500 cfm true
}
