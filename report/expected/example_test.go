package expected_test

import (
	"log"
	"os"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/expect"
	"lostair/readings"
	"lostair/report/expected"
	"lostair/report/show"
)

// What a sound system shows, as a table.
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
	all := expected.From(sys, []*expect.Expected{x}, sys.Units)
	if err := expected.Text(os.Stdout, all, show.Style{Plain: true}); err != nil {
		log.Fatal(err)
	}
	// Output:
	// Two machines
	// What a sound system should show, by the system file.
	// Enough: lathe.
	//
	// Gate lathe open: 1257 m3/h through the fan
	// ------------------------------------------
	//                                static
	// point            duct        pressure  velocity  flow  need
	// lathe            lathe-drop     -1669      43.1  1220  1000
	// M                main           -2112      19.6  1249
	// L                lathe-drop     -2068      43.2  1222
	// B                bench-drop     -2265      0.26    12
	// collector-inlet                 -2181      19.8  1257
	// cyclone-inlet                   -2181      19.8  1257
	// cyclone-outlet                  -2428      19.8  1257
	// fan-inlet                       -2428      19.8  1257
	// fan-outlet                          0            1257
	// bin                             -2131
	// Shut: bench.
	// 37 m3/h leaks in at shut gates and joints (assumed).
	// Static pressure in Pa, velocity in m/s, flow in m3/h. Velocity and total
	// pressure, and velocity in the middle, are in --format csv.
}
