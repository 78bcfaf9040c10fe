package airflow_test

import (
	"fmt"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings/units"
)

const twoDrops = `
units: metric
collector:
  inlet: 150
  fan: {curve: [[0, 2400], [1000, 2300], [2000, 1400], [2600, 0]]}
ducts:
  - {id: main, into: collector, diameter: 150, length: 4, material: spiral, taps: {M: 2}}
  - {id: lathe-drop, into: main, enters: 45, diameter: 100, length: 2, material: spiral, gate: lathe}
  - {id: bench-drop, into: main, enters: straight, diameter: 125, length: 3, material: spiral, gate: bench}
ports:
  - {id: lathe, duct: lathe-drop, hood: flanged}
  - {id: bench, duct: bench-drop, hood: plain}
`

// What a tap shows with one gate open, and how far a hole of 5 cm² in the main
// would change it.
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
	cfg, err := m.Configure(false, []string{"lathe"}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	tap, err := m.ProbeAt("M", units.StaticPressure)
	if err != nil {
		fmt.Println(err)
		return
	}
	c := m.Coefs()
	s := m.NewState()
	if err := s.Solve(&c, cfg); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("static pressure at M %.0f Pa, lathe %.0f m3/h\n", s.Value(tap), 3600*s.PortFlow(0))

	s.Prepare()
	g := m.NewGradient()
	s.Sensitivity(tap, g)
	d, _ := sys.DuctNamed("main")
	x := m.DuctSegments(d)[0]
	fmt.Printf("a hole of 5 cm2 in main: %+.0f Pa\n", g.Leak[x]*5e-4)
	// Output:
	// static pressure at M -2332 Pa, lathe 1283 m3/h
	// a hole of 5 cm2 in main: +21 Pa
}
