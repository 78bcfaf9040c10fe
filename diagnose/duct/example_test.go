package duct_test

import (
	"fmt"

	"lostair/diagnose/duct"
)

// A system built in Go meets the checks that a file would, and is ready for use.
func ExampleSystem_Finish() {
	s := &duct.System{
		Air:       duct.Air{Standard: true},
		Collector: duct.Collector{Inlet: 0.15, Curve: []duct.CurvePoint{{Flow: 0, Pressure: 2000}, {Flow: 0.5, Pressure: 0}}},
		Ducts: []duct.Duct{
			{ID: "hose", Into: 1, Straight: true, Diameter: 0.1, Length: 2, Material: "flexible"},
			{ID: "trunk", Into: duct.IntoCollector, Straight: true, Diameter: 0.15, Length: 4, Material: "tin"},
		},
		Ports: []duct.Port{{ID: "saw", Duct: 0, Hood: "plain"}},
	}
	fmt.Println(s.Finish().Err())
	s.Ducts[1].Material = "spiral"
	fmt.Println(s.Finish().Err(), s.Order, s.Ducts[0].Port)
	// Output:
	// duct "trunk": material "tin" is not known; write smooth, pvc, galvanised, spiral or flexible
	// <nil> [1 0] 0
}
