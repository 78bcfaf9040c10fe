package systemfile_test

import (
	"fmt"

	"lostair/diagnose/duct/systemfile"
)

// Load a system file and walk it from the collector to the ports.
func ExampleLoad() {
	file := `
units: metric
collector:
  inlet: 150
  fan: {curve: [[0, 2200], [900, 1800], [1800, 0]]}
ducts:
  - {id: trunk, into: collector, diameter: 150, length: 4, material: spiral}
  - {id: bandsaw, into: trunk, enters: straight, diameter: 4 in, length: 2, material: flexible}
  - {id: bench, into: trunk, enters: 45, diameter: 100, length: 3, material: flexible, gate: bench}
ports:
  - {id: bandsaw-port, duct: bandsaw, hood: plain, need: 500}
  - {id: bench-slot, duct: bench, hood: 1.8}
`
	s, problems := systemfile.Load([]byte(file), "shop.yaml")
	if err := problems.Err(); err != nil {
		fmt.Println(err)
		return
	}
	for _, i := range s.Order {
		d := s.Ducts[i]
		fmt.Printf("%s: %.4g m wide, %g m long\n", d.ID, d.Diameter, d.Length)
	}
	// Output:
	// trunk: 0.15 m wide, 4 m long
	// bandsaw: 0.1016 m wide, 2 m long
	// bench: 0.1 m wide, 3 m long
}

// Everything wrong is said at once, with its place and what to do.
func ExampleLoad_problems() {
	file := `units: metric
collector: {inlet: 125, fan: {curve: [[0, 900], [800, 0]]}}
ducts:
  - {id: trunk, into: colector, diametre: 125, length: 3, material: spiral}
ports:
  - {id: saw, duct: trunk, hood: flanged, need: -300}
`
	_, problems := systemfile.Load([]byte(file), "shop.yaml")
	for _, p := range problems {
		fmt.Println(p)
	}
	// Output:
	// shop.yaml:4:5: duct "trunk" has no diameter; add diameter: inside diameter; of a rectangular duct width and height in its place
	// shop.yaml:4:23: duct "trunk" flows into "colector", and there is no such duct; did you mean "collector"?
	// shop.yaml:4:33: unknown key "diametre" in duct "trunk"; did you mean diameter?
	// shop.yaml:6:49: port "saw": need "-300" is not possible; it lies between 0 m3/h and 360000 m3/h, and a number without a unit is in m3/h
}
