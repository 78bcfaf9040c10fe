package plant_test

import (
	"fmt"

	"lostair/diagnose/trial/plant"
	"lostair/readings/units"
)

// A made-up plant of four ports, as its page has it.
func ExampleNew() {
	s := plant.New(7, 4, units.Metric)
	for i, p := range s.Ports {
		fmt.Println(p.ID, plant.GatesOf(s, i))
	}
	// Output:
	// spindle [spindle]
	// mortiser [mortiser]
	// disc [disc]
	// finger-cutter [finger-cutter]
}
