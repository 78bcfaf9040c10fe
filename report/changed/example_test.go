package changed_test

import (
	"context"
	"log"
	"os"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/whatif"
	"lostair/readings"
	"lostair/report/changed"
	"lostair/report/show"
)

// What a change does, as text.
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
	if err := changed.Text(os.Stdout, changed.From(x, sys.Units), show.Style{Plain: true}); err != nil {
		log.Fatal(err)
	}
	// Output:
	// Two machines
	//   lathe-drop.diameter: 100 mm -> 125 mm
	//
	// Now carries the dust: main with gate lathe open (25.9, at least 20.0 m/s)
	// Better: lathe +33 %
	//
	// Gate lathe open
	// ---------------
	// where  what      before  after  change  least  unit
	// lathe  flow        1220   1628   +33 %   1000  m3/h  enough
	// main   velocity    19.6   25.9   +32 %   20.0  m/s   now carries
	// 5 more values of ducts, taps and collector change (--all).
	//
	// Computed from the system file, as if the system were sound and just as the file
	// says; what is built differs somewhat from it. It is no design: local codes and
	// licensed practice come first.
}
