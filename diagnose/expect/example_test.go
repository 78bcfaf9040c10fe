package expect_test

import (
	"fmt"
	"log"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/expect"
	"lostair/readings"
	"lostair/readings/units"
)

// What a sound system shows with one gate open.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	open, err := readings.ParseOpen("lathe")
	if err != nil {
		log.Fatal(err)
	}
	x, err := expect.Expect(sys, open)
	if err != nil {
		log.Fatal(err)
	}
	for _, p := range x.Points {
		if v, ok := p.Value(units.StaticPressure); ok && !p.Port {
			fmt.Printf("%s: %.0f Pa\n", p.Point, v)
		}
	}
	// Output:
	// M: -2112 Pa
	// L: -2068 Pa
	// B: -2265 Pa
	// collector-inlet: -2181 Pa
	// cyclone-inlet: -2181 Pa
	// cyclone-outlet: -2428 Pa
	// fan-inlet: -2428 Pa
	// fan-outlet: 0 Pa
	// bin: -2131 Pa
}
