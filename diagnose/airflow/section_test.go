package airflow

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/handbook"
	"lostair/readings/units"
	"lostair/testdata/published"
)

// sectionLossOf is the total pressure that a solved run loses where its bore
// changes, on the faster of the two velocity pressures.
func sectionLossOf(r published.Row) float64 {
	step := r.Text("step")
	require.Contains(r.T(), []string{"abrupt", "smooth"}, step)
	if r.Has("wider") {
		return sectionRig(r.T(), 1, r.SI("wider"), step == "abrupt")
	}
	return sectionRig(r.T(), 1, r.SI("narrower"), step == "abrupt")
}

// sectionRig solves a run whose bore goes from one area to another, tight and without friction.
func sectionRig(t testing.TB, from, to float64, abrupt bool) float64 {
	const d = 0.1
	sys := &duct.System{Air: duct.Air{Standard: true},
		Collector: duct.Collector{Inlet: d * math.Sqrt(to), Order: []duct.Part{duct.Fan}, Curve: []duct.CurvePoint{{Flow: 0, Pressure: 5000}, {Flow: 40, Pressure: 5000}}},
		Ducts: []duct.Duct{
			{ID: "down", Into: duct.IntoCollector, Straight: true, Diameter: d * math.Sqrt(to), Length: 1, Material: "smooth", Port: -1, Children: []int{1}, Taps: []duct.Tap{{ID: "B", Distance: 0.5}}},
			{ID: "up", Into: 0, Straight: true, Diameter: d * math.Sqrt(from), Length: 1, Material: "smooth", Port: 0, Abrupt: abrupt, Taps: []duct.Tap{{ID: "A", Distance: 0.5}}}},
		Ports: []duct.Port{{ID: "p", Duct: 1, Loss: 10}},
		Order: []int{0, 1}}
	m, err := New(sys, Options{})
	require.NoError(t, err)
	g := newRig(t, m)
	clear(g.c.Seep)
	clear(g.c.Friction)
	g.solve()
	total := func(p string) float64 { return g.at(p, units.StaticPressure) + g.at(p, units.VelocityPressure) }
	return (total("A") - total("B")) / max(g.at("A", units.VelocityPressure), g.at("B", units.VelocityPressure))
}

// A narrowing's loss is the narrower duct's: solved both ways, on the faster
// velocity pressure, and no other than SectionLoss.
func TestASectionLosesOnTheNarrowerDuct(t *testing.T) {
	for _, abrupt := range []bool{true, false} {
		for _, to := range []float64{0.3, 0.5, 2, 4} {
			require.InDelta(t, handbook.SectionLoss(1, to, abrupt), sectionRig(t, 1, to, abrupt), 1e-6, "to %g, abrupt %v", to, abrupt)
		}
	}
}
