package figure_test

import (
	"fmt"

	"lostair/readings/units"
	"lostair/report/figure"
)

// How far off a reading is, in words and signs; 2.5 and so on are standard deviations.
func Example() {
	for _, z := range []float64{-6, -2.5, 0, 2.5, 6} {
		d := figure.DeviationOf(z)
		fmt.Printf("%q %s\n", d.Sign(), d.Said(units.FlowRate))
	}
	// Output:
	// "▼▼" far less air
	// "▼" less air
	// "≈" as expected
	// "▲" more air
	// "▲▲" far more air
}
