package systemfile

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// plant is a main with a branch into each of its runs: n ducts in all.
func plant(n int) *duct.System {
	s := &duct.System{
		Air: duct.Air{Standard: true},
		Collector: duct.Collector{Inlet: 0.15, Curve: []duct.CurvePoint{{Flow: 0, Pressure: 2000}, {Flow: 0.5, Pressure: 0}},
			Filter: &duct.Drop{Pressure: 100, At: 0.3}},
	}
	for i := range n {
		d := duct.Duct{ID: fmt.Sprint("d", i), Into: i - 2 + i%2, Straight: i%2 == 0, Diameter: 0.15, Length: 3, Material: "spiral",
			Fittings: []duct.Fitting{{Elbow: true, Angle: 90 * units.Degree, Radius: 1.5, Count: 1}},
			Taps:     []duct.Tap{{ID: fmt.Sprint("T", i), Distance: 1}}}
		if i == 0 {
			d.Into = duct.IntoCollector
		}
		if i%2 == 1 {
			d.Into, d.Angle, d.Diameter, d.Gate = i-1, 45*units.Degree, 0.1, fmt.Sprint("g", i)
		}
		if i%2 == 1 || i+2 > n-1 && i+1 > n-1 {
			s.Ports = append(s.Ports, duct.Port{ID: fmt.Sprint("p", i), Duct: i, Hood: "plain"})
		}
		s.Ducts = append(s.Ducts, d)
	}
	return s
}

func BenchmarkLoad(b *testing.B) {
	for _, n := range []int{11, 1001} {
		b.Run(fmt.Sprint("ducts=", n), func(b *testing.B) {
			s := plant(n)
			require.NoError(b, s.Finish().Err())
			file := Marshal(s)
			b.ReportAllocs()
			b.SetBytes(int64(len(file)))
			for b.Loop() {
				if s, _ := Load(file, "plant"); s == nil {
					b.Fatal("not loaded")
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/duct")
		})
	}
}
