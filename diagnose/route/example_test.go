package route_test

import (
	"fmt"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/route"
)

const twoDrops = `
units: metric
collector:
  inlet: 150
  fan: {curve: [[0, 2400], [1000, 2300], [2000, 1400], [2600, 0]]}
ducts:
  - {id: main, into: collector, diameter: 150, length: 4, material: spiral}
  - {id: lathe-drop, into: main, enters: 45, diameter: 100, length: 2, material: spiral, gate: lathe}
  - {id: bench-drop, into: main, enters: straight, diameter: 125, length: 3, material: spiral, gate: bench}
ports:
  - {id: lathe, duct: lathe-drop, hood: flanged}
  - {id: bench, duct: bench-drop, hood: plain}
`

// The way from the lathe to the collector, and which ports draw with its gate open.
func Example() {
	sys, bad := systemfile.Load([]byte(twoDrops), "two-drops.yaml")
	if sys == nil {
		fmt.Println(bad)
		return
	}
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, d := range route.Of(m, 0) {
		fmt.Println(sys.Ducts[d].ID)
	}
	for i, drawing := range route.Reach(m, route.Alone(m, 0)) {
		fmt.Println(sys.Ports[i].ID, drawing)
	}
	// Output:
	// lathe-drop
	// main
	// lathe true
	// bench false
}
