package report_test

import (
	"context"
	"fmt"
	"log"

	"lostair/diagnose"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
)

// A result in the reader's units, with its words.
func Example() {
	sys, list := systemfile.LoadFile("../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	survey, list := readings.LoadFile("../testdata/toy/weak.csv", sys.Units)
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	d, err := diagnose.Diagnose(context.Background(), sys, survey, diagnose.Options{})
	if err != nil {
		log.Fatal(err)
	}
	r := report.From(d, units.US)
	fmt.Println(r.Summary)
	for _, p := range r.Ports {
		fmt.Printf("%s with %s open: %.0f %s\n", p.Port, p.Open, p.Flow.Value, p.Flow.Unit)
	}
	// Output:
	// The readings point to a restriction in the gate lathe, the hood of lathe or lathe-drop (almost certain, over 99 %).
	// lathe with lathe open: 423 cfm
	// bench with bench open: 927 cfm
}
