package next_test

import (
	"context"
	"fmt"
	"log"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings"
)

// Two readings show that the lathe gets too little air, and leave open why: what to
// read or look at next, and how many minutes it takes.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	survey, list := readings.Load(strings.NewReader(`open,point,quantity,value,unit
lathe,lathe,velocity,24.8,m/s
none,M,static_pressure,-2400,Pa
`), "survey.csv", sys.Units)
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	r, err := diagnose.Diagnose(context.Background(), sys, survey, diagnose.Options{})
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range r.Next[:2] {
		fmt.Printf("%s%s at %s, open %s: %.1f minutes\n", s.Quantity, s.LookAt, s.Point, s.Open, s.Minutes)
	}
	// Output:
	// clear_inside at lathe-drop, open none: 4.5 minutes
	// opens_fully at lathe, open none: 1.5 minutes
}
