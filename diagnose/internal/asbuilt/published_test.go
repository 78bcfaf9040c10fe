package asbuilt_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/asbuilt"
	"lostair/readings/units"
	"lostair/testdata/published"
)

func TestPublished(t *testing.T) {
	published.Run(t, "asbuilt", map[string]published.Check{"off the page": offThePage})
}

// offThePage is by how many standard deviations of a part's spread a published
// value differs from the page's.
func offThePage(r published.Row) float64 {
	text := func(name, other string) string {
		if r.Has(name) {
			return r.Text(name)
		}
		return other
	}
	hood := text("hood", "plain")
	if r.Has("angle") {
		hood += ", angle: " + r.Text("angle")
	}
	m := oneRun(r.T(), hood, "material: "+text("material", "flexible"), text("diameter", "100 mm"))
	bore := m.Position(m.PortSegment(0)).Bore
	switch of := r.Text("of"); of {
	case "hood":
		p := part(r.T(), m, airflow.Hood)
		return math.Log(r.SI("value")/p.Base) / sd(p)
	case "friction", "bends":
		what := map[string]airflow.What{"friction": airflow.Friction, "bends": airflow.Bends}[of]
		return math.Log(r.SI("value")) / sd(part(r.T(), m, what))
	case "hose":
		model := frictionOf(r.T(), m, r.SI("v"))
		other := 0.0
		if r.Has("roughness") {
			other = frictionOf(r.T(), oneRun(r.T(), hood, "roughness: "+r.Text("roughness"), r.Text("diameter")), r.SI("v"))
		} else {
			other = r.SI("factor") / (r.SI("foot") * 0.0254) // by foot to by metre
		}
		return math.Log(other/model) / sd(part(r.T(), m, airflow.Friction))
	case "axis":
		f := 0.1 * frictionOf(r.T(), oneRun(r.T(), hood, "material: spiral", r.Text("diameter")), r.SI("v"))
		return math.Log(r.SI("value")*handbook.CentreRatio(f)) / asbuilt.ProfileError
	case "shut gate":
		p := part(r.T(), m, airflow.ShutGate)
		area := r.SI("leak") * bore / (0.61 * math.Sqrt(2*r.SI("suction")/m.Air.Density))
		return math.Log(area/p.Base) / sd(p)
	}
	require.Fail(r.T(), "of what?", r.Text("of"))
	return 0
}

func sd(p asbuilt.PartUnknown) float64 { return math.Hypot(p.Sd[0], p.Sd[1]) }

func part(t testing.TB, m *airflow.Model, what airflow.What) asbuilt.PartUnknown {
	for _, p := range asbuilt.NewUnknowns(m).Parts {
		if p.What == what {
			return p
		}
	}
	require.Fail(t, "no such part")
	return asbuilt.PartUnknown{}
}

func oneRun(t testing.TB, hood, wall, diameter string) *airflow.Model {
	sys, problems := systemfile.Load([]byte(fmt.Sprintf(`
units: metric
collector: {inlet: %[3]s, fan: {curve: [[0, 4000], [40000, 4000]]}}
ducts: [{id: d, into: collector, diameter: %[3]s, length: 10, %[2]s, fittings: [{elbow: 90}], taps: {A: 4, B: 6}, gate: g}]
ports: [{id: p, duct: d, hood: %[1]s}]
`, hood, wall, diameter)), "run.yaml")
	require.NoError(t, problems.Err())
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	return m
}

// frictionOf is the friction of a metre, on the velocity pressure, between taps
// two metres apart, with the fan set to a velocity.
func frictionOf(t testing.TB, m *airflow.Model, v float64) float64 {
	c, s := m.Coefs(), m.NewState()
	clear(c.Seep)
	clear(c.K)
	at := func(point string, q units.Quantity) float64 {
		p, err := m.ProbeAt(point, q)
		require.NoError(t, err)
		return s.Value(p)
	}
	cfg, err := m.Configure(true, nil, nil)
	require.NoError(t, err)
	for lo, hi, i := 0.0, 10.0, 0; i < 60; i++ {
		c.Pressure = (lo + hi) / 2
		require.NoError(t, s.Solve(&c, cfg))
		if at("A", units.MeanVelocity) < v {
			lo = c.Pressure
		} else {
			hi = c.Pressure
		}
	}
	require.InEpsilon(t, v, at("A", units.MeanVelocity), 1e-6)
	return (at("A", units.StaticPressure) - at("B", units.StaticPressure)) / 2 / at("A", units.VelocityPressure)
}
