package diagnose_test

import (
	"context"
	"fmt"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings"
)

const toyShop = `
units: metric
collector:
  inlet: 150
  fan: {curve: [[0, 2400], [1000, 2300], [2000, 1400], [2600, 0]]}
  cyclone: {drop: 400, at: 1600}
  bin: true
ducts:
  - {id: main, into: collector, diameter: 150, length: 4, material: spiral, taps: {M: 2}}
  - {id: lathe-drop, into: main, enters: 45, diameter: 100, length: 2, material: spiral, taps: {L: 1}, gate: lathe}
  - {id: bench-drop, into: main, enters: straight, diameter: 125, length: 3, material: spiral, taps: {B: 1.5}, gate: bench}
ports:
  - {id: lathe, duct: lathe-drop, hood: flanged}
  - {id: bench, duct: bench-drop, hood: plain}
`

// A survey in which the lathe's drop draws far less air than it should, with
// more suction behind its gate.
const toySurvey = `open,point,quantity,value,unit
lathe,M,static_pressure,-2320,Pa
lathe,L,static_pressure,-2340,Pa
lathe,lathe,velocity,24.8,m/s
bench,M,static_pressure,-1760,Pa
bench,B,static_pressure,-1790,Pa
bench,bench,velocity,35.6,m/s
none,M,static_pressure,-2400,Pa
`

// From a system and a survey to a verdict.
func Example() {
	sys, bad := systemfile.Load([]byte(toyShop), "shop.yaml")
	if sys == nil {
		fmt.Println(bad)
		return
	}
	survey, bad := readings.Load(strings.NewReader(toySurvey), "survey.csv", sys.Units)
	if survey == nil {
		fmt.Println(bad)
		return
	}
	r, err := diagnose.Diagnose(context.Background(), sys, survey, diagnose.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Verdict)
	for _, f := range r.Faults {
		fmt.Printf("%s %s, or what looks the same: %.0f %%\n", f.Kind, f.Where, 100*f.Together)
		for _, a := range f.Alike {
			fmt.Printf("  or %s %s\n", a.Kind, a.Where)
		}
		for _, g := range f.Fix.Gains {
			fmt.Printf("mending it brings %s from %.2f to %.2f m3/s\n", g.Port, g.Before, g.After.Value)
		}
	}
	// Output:
	// faults
	// gate-restricted lathe, or what looks the same: 100 %
	//   or blockage lathe
	//   or blockage lathe-drop
	// mending it brings lathe from 0.20 to 0.35 m3/s
}
