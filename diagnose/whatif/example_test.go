package whatif_test

import (
	"context"
	"fmt"
	"log"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/whatif"
	"lostair/readings"
	"lostair/readings/units"
)

// What a wider drop would bring.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	open, err := readings.ParseOpen("lathe")
	if err != nil {
		log.Fatal(err)
	}
	x, err := whatif.Compare(context.Background(), sys, []string{"lathe-drop.diameter=125 mm"}, []readings.Open{open})
	if err != nil {
		log.Fatal(err)
	}
	for _, r := range x.Settings[0].Rows {
		if r.What == "port" && r.Where == "lathe" && r.Quantity == units.FlowRate {
			fmt.Printf("%.2f to %.2f m3/s\n", r.Before, r.After)
		}
	}
	// Output:
	// 0.34 to 0.45 m3/s
}
