package planned_test

import (
	"context"
	"log"
	"os"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/plan"
	"lostair/report/planned"
)

// A planned round as the file to write the readings into.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	r, err := plan.Plan(context.Background(), sys, nil, 3)
	if err != nil {
		log.Fatal(err)
	}
	if err := planned.CSV(os.Stdout, r, sys.Units); err != nil {
		log.Fatal(err)
	}
	// Output:
	// date,open,point,quantity,value,unit,instrument,hose_off,position,note
	// ,lathe,L,static_pressure,,Pa,,,,
	// ,bench,M,static_pressure,,Pa,,,,
	// ,all,M,static_pressure,,Pa,,,,
}
