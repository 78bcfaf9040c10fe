package sheet_test

import (
	"context"
	"fmt"
	"os"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/plan"
	"lostair/report/sheet"
)

// A field sheet is made from a system file: what to read, what it should show,
// and in which order to go.
func ExampleCSV() {
	sys, problems := systemfile.Load([]byte(`
units: metric
collector:
  inlet: 150
  fan: {curve: [[0, 2400], [900, 2200], [1800, 1100], [2300, 0]]}
ducts:
  - {id: main, into: collector, diameter: 150, length: 4, material: spiral}
  - {id: saw-hose, into: main, diameter: 100, length: 2, material: flexible, gate: saw}
ports:
  - {id: saw, duct: saw-hose, hood: plain}
`), "shop.yaml")
	if err := problems.Err(); err != nil {
		fmt.Println(err)
		return
	}
	rows := sheet.UsualRound(sys)
	expected, err := plan.Ranges(context.Background(), sys, sys.File, rows)
	if err != nil {
		fmt.Println(err)
		return
	}
	s := sheet.New(sys, rows, expected)
	if err := sheet.CSV(os.Stdout, s, sys.Units); err != nil {
		fmt.Println(err)
	}
	// Output:
	// date,open,point,quantity,value,unit,instrument,hose_off,position,note
	// ,none,collector-inlet,static_pressure,,Pa,,,,stop 1
	// ,saw,collector-inlet,static_pressure,,Pa,,,,stop 2
	// ,saw,saw,velocity,,m/s,,,,"stop 3; too fast for most vanes: if for yours, velocity_pressure with a pitot tube"
	// ,all,fan-inlet,static_pressure,,Pa,,,,stop 4
	// ,all,collector-inlet,static_pressure,,Pa,,,,stop 5
}
