package airflow

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/handbook"
	"lostair/readings/units"
	"lostair/testdata/published"
)

func TestPublished(t *testing.T) {
	published.Run(t, "airflow", map[string]published.Check{
		"velocity from velocity pressure": func(r published.Row) float64 {
			return rigOf(r).hold(velocityPressure, r.SI("vp")).read(velocity)
		},
		"velocity pressure from velocity": func(r published.Row) float64 {
			return rigOf(r).hold(velocity, r.SI("v")).read(velocityPressure)
		},
		"flow from velocity pressure": func(r published.Row) float64 {
			return rigOf(r).hold(velocityPressure, r.SI("vp")).read(flow)
		},
		"flow from velocity": func(r published.Row) float64 { return rigOf(r).hold(velocity, r.SI("v")).read(flow) },
		"velocity from flow": func(r published.Row) float64 { return rigOf(r).hold(flow, r.SI("flow")).read(velocity) },
		"velocity from standard flow": func(r published.Row) float64 {
			standard := handbook.Density(r.SI("standard_temperature"), r.SI("standard_pressure"), 0)
			g := rigOf(r)
			return g.hold(flow, r.SI("flow")*standard/g.m.Air.Density).read(velocity)
		},
		"coefficient of entry": func(r published.Row) float64 {
			g := rigOf(r).hold(velocity, 20)
			return math.Sqrt(g.read(velocityPressure) / -g.read(hoodStatic))
		},
		"flow from hood static pressure": func(r published.Row) float64 {
			return rigOf(r).hold(hoodSuction, r.SI("sp")).read(flow)
		},
		"velocity from hood static pressure": func(r published.Row) float64 {
			return rigOf(r).hold(hoodSuction, r.SI("sp")).read(velocity)
		},
		"velocity pressure from hood static pressure": func(r published.Row) float64 {
			return rigOf(r).hold(hoodSuction, r.SI("sp")).read(velocityPressure)
		},
		"hood static pressure from velocity pressure": func(r published.Row) float64 {
			return rigOf(r).hold(velocityPressure, r.SI("vp")).read(hoodStatic)
		},
		"hood loss from velocity pressure": func(r published.Row) float64 {
			g := rigOf(r).hold(velocityPressure, r.SI("vp"))
			return -g.read(hoodStatic) - g.read(velocityPressure)
		},
		"ratio of flows from hood static pressures": func(r published.Row) float64 {
			sp := r.List("sp")
			now := rigOf(r).hold(hoodSuction, sp[0]).read(flow)
			return now / rigOf(r).hold(hoodSuction, sp[1]).read(flow)
		},
		"friction of a length":                frictionOfLength,
		"friction share of velocity pressure": func(r published.Row) float64 { return frictionOfLength(r) / velocityPressureOf(r) },
		"loss of a factor": func(r published.Row) float64 {
			return rigOf(r).hold(velocity, r.SI("v")).s.DuctLoss(0)
		},
		"friction factor": func(r published.Row) float64 {
			f, _, _ := handbook.FrictionFactor(r.SI("re"), r.SI("rel"), 0)
			return f
		},
		"branch entry loss": func(r published.Row) float64 { return handbook.EntryLoss(r.SI("angle") * math.Pi / 180) },
		"elbow loss": func(r published.Row) float64 {
			return handbook.ElbowLoss(r.SI("angle")*math.Pi/180, r.SI("radius"), r.Text("bend") == "gored")
		},
		"discharge coefficient of a hole": func(r published.Row) float64 {
			m := newModel(r, oneDuct(0.1))
			perArea, _ := m.NewState().leakPer(BinNode, -r.SI("suction"))
			return perArea / math.Sqrt(2*r.SI("suction")/m.Air.Density)
		},
		"density":             func(r published.Row) float64 { return newModel(r, withAir(r, oneDuct(0.1))).Air.Density },
		"density ratio":       densityRatio,
		"barometer":           func(r published.Row) float64 { return handbook.Barometer(r.SI("altitude")) },
		"barometer ratio":     func(r published.Row) float64 { return handbook.Barometer(r.SI("altitude")) / handbook.Barometer(0) },
		"saturation pressure": func(r published.Row) float64 { return handbook.SaturationPressure(r.SI("temperature")) },
		"viscosity":           func(r published.Row) float64 { return handbook.Viscosity(r.SI("temperature")) },
		"background leakage": func(r published.Row) float64 {
			_, perSeep := newModel(r, oneDuct(0.1)).NewState().leakPer(BinNode, -r.SI("suction"))
			return perSeep * r.SI("class") * r.SI("area")
		},
		"the model's leakage class": func(r published.Row) float64 {
			sys := oneDuct(0.1)
			sys.Ducts[0].Length = 1 / (math.Pi * 0.1) // 1 m² of wall
			m := newModel(r, sys)
			var seep float64
			for _, s := range m.base.Seep {
				seep += s
			}
			_, perSeep := m.NewState().leakPer(BinNode, -r.SI("suction"))
			return perSeep * seep
		},
		"hood loss by angle": func(r published.Row) float64 {
			return handbook.HoodLoss(&duct.Port{Hood: r.Text("hood"), Taper: r.SI("angle") * math.Pi / 180})
		},
		"round duct that loses as much": func(r published.Row) float64 {
			return roundThatLosesAsMuch(r.SI("width"), r.SI("height"))
		},
		"factor of a compressed hose": func(r published.Row) float64 {
			return handbook.CompressionFactor(r.SI("share"), r.SI("diameter"))
		},
		"usual conveying velocity": func(r published.Row) float64 {
			sys := &duct.System{}
			if r.Text("units") == "us" {
				sys.Units = units.US
			}
			c := handbook.ConveyOf(sys)
			require.Equal(t, c.Branch, c.Main)
			return c.Branch
		},
		"gate loss":    func(r published.Row) float64 { return handbook.GateLoss(r.SI("travel")) },
		"section loss": sectionLossOf,
		"chain":        chain,
		"join loss":    joinLossOf,
	})
}

// What a rig can be read for.
type gauge func(*rig) float64

func velocity(g *rig) float64         { return g.at("T", units.MeanVelocity) }
func velocityPressure(g *rig) float64 { return g.at("T", units.VelocityPressure) }
func flow(g *rig) float64             { return g.at("T", units.FlowRate) }
func hoodStatic(g *rig) float64       { return g.at("P", units.StaticPressure) }
func hoodSuction(g *rig) float64      { return -hoodStatic(g) }

// rig is a model whose fan's pressure is set so that a gauge shows what a test wants.
type rig struct {
	t   testing.TB
	m   *Model
	c   Coefs
	s   *State
	cfg Config
}

func newRig(t testing.TB, m *Model) *rig {
	g := &rig{t: t, m: m, c: m.Coefs(), s: m.NewState()}
	cfg, err := m.Configure(true, nil, nil)
	require.NoError(t, err)
	g.cfg = cfg
	return g
}

// rigOf is one duct with a hood and a tap T, tight and without friction, as a row describes it.
func rigOf(r published.Row) *rig {
	d := 0.1
	switch {
	case r.Has("diameter"):
		d = r.SI("diameter")
	case r.Has("area"):
		d = math.Sqrt(4 / math.Pi * r.SI("area"))
	}
	sys := withAir(r, oneDuct(d))
	switch {
	case r.Has("hood"):
		sys.Ports[0].Hood = r.Text("hood")
	case r.Has("fh"):
		sys.Ports[0].Loss = r.SI("fh")
	case r.Has("ce"):
		sys.Ports[0].Loss = 1/(r.SI("ce")*r.SI("ce")) - 1
	}
	k := 1.0 // without any loss the flow would have no bound
	if r.Has("k") {
		k = r.SI("k")
	}
	sys.Ducts[0].Fittings = []duct.Fitting{{Loss: k}}
	g := newRig(r.T(), newModel(r, sys))
	clear(g.c.Seep)
	clear(g.c.Friction)
	return g
}

func oneDuct(d float64) *duct.System {
	return &duct.System{Air: duct.Air{Standard: true},
		Collector: duct.Collector{Inlet: d, Order: []duct.Part{duct.Fan}, Curve: []duct.CurvePoint{{Flow: 0, Pressure: 1000}, {Flow: 1e3, Pressure: 1000}}},
		Ducts: []duct.Duct{{ID: "D", Into: duct.IntoCollector, Straight: true, Diameter: d, Length: 1, Material: "smooth", Port: 0,
			Taps: []duct.Tap{{ID: "T", Distance: 0.5}}}},
		Ports: []duct.Port{{ID: "P", Duct: 0}},
		Order: []int{0}}
}

// withAir sets the air that a row gives: a state, or a density outright.
func withAir(r published.Row, sys *duct.System) *duct.System {
	switch {
	case r.Has("density"):
		T, rho := 293.15, r.SI("density")
		p := 101325 * rho / handbook.Density(T, 101325, 0)
		for range 5 {
			p *= rho / handbook.Density(T, p, 0)
		}
		sys.Air = duct.Air{Temperature: T, Barometer: p}
	case r.Has("temperature"):
		sys.Air = duct.Air{Temperature: r.SI("temperature")}
		if r.Has("humidity") {
			sys.Air.Humidity = r.SI("humidity")
		}
		if r.Has("barometer") {
			sys.Air.Barometer = r.SI("barometer")
		}
		if r.Has("altitude") {
			sys.Air.Altitude = r.SI("altitude")
		}
	}
	return sys
}

func newModel(r published.Row, sys *duct.System) *Model {
	m, err := New(sys, Options{})
	require.NoError(r.T(), err)
	return m
}

func (g *rig) at(point string, q units.Quantity) float64 {
	p, err := g.m.ProbeAt(point, q)
	require.NoError(g.t, err)
	return g.s.Value(p)
}

func (g *rig) solve() *rig {
	require.NoError(g.t, g.s.Solve(&g.c, g.cfg))
	return g
}

// hold finds the fan pressure at which a gauge shows a value. What it shows
// grows with the pressure.
func (g *rig) hold(read gauge, want float64) *rig {
	lo, hi := math.Log(1e-6), math.Log(1e6)
	for range 100 {
		g.c.Pressure = math.Exp((lo + hi) / 2)
		if g.solve(); read(g) < want {
			lo = (lo + hi) / 2
		} else {
			hi = (lo + hi) / 2
		}
	}
	require.InEpsilon(g.t, want, read(g), 1e-6, "the fan can't be set to it")
	return g
}

func (g *rig) read(what gauge) float64 { return what(g) }

// frictionOfLength is the loss of a straight duct without a hood.
func frictionOfLength(r published.Row) float64 {
	sys := withAir(r, oneDuct(r.SI("diameter")))
	d := &sys.Ducts[0]
	d.Length = r.SI("length")
	d.Taps[0].Distance = d.Length / 2
	sys.Ports[0].Loss = 1 // taken off again below
	if d.Material = ""; r.Has("material") {
		d.Material = r.Text("material")
	} else {
		d.Roughness = r.SI("roughness")
	}
	g := newRig(r.T(), newModel(r, sys))
	clear(g.c.Seep)
	if r.Has("flow") {
		g.hold(flow, r.SI("flow"))
	} else {
		g.hold(velocity, r.SI("v"))
	}
	return g.s.DuctLoss(0) + hoodStatic(g) + velocityPressure(g)
}

func velocityPressureOf(r published.Row) float64 {
	return rigOf(r).hold(velocity, r.SI("v")).read(velocityPressure)
}

func densityRatio(r published.Row) float64 {
	p := handbook.Barometer(0)
	if r.Has("altitude") {
		p = handbook.Barometer(r.SI("altitude"))
	}
	return handbook.Density(r.SI("temperature"), p, 0) / handbook.Density(r.SI("to_temperature"), handbook.Barometer(0), 0)
}

// chain solves a whole system of testdata/published/chains and reads one thing.
func chain(r published.Row) float64 {
	t := r.T()
	sys, problems := systemfile.LoadFile(filepath.Join("..", "..", "testdata", "published", "chains", r.Text("system")))
	require.NoError(t, problems.Err())
	if r.Has("temperature") {
		sys.Air.Temperature = r.SI("temperature")
	}
	var opt Options
	if r.Has("join") && r.Text("join") == "handbook" {
		opt.Join = Handbook
	}
	m, err := New(sys, opt)
	require.NoError(t, err)
	g := newRig(t, m)
	g.leaveOut(r)
	if r.Has("speed") {
		g.c.Speed = r.SI("speed")
	}
	if r.Has("collector") {
		g.hold(func(g *rig) float64 { return g.s.CollectorFlow() }, r.SI("collector"))
	}
	g.solve()
	switch what := r.Text("read"); what {
	case "collector_flow":
		return g.s.CollectorFlow()
	case "fan_static_pressure": // outlet static (the room: 0) less inlet total
		return -g.at(FanInlet, units.StaticPressure) - g.at(FanInlet, units.VelocityPressure)
	case "resultant_velocity_pressure": // what acceleration behind the join was not paid for
		drop := g.at(r.Text("below"), units.StaticPressure) - g.at(r.Text("point"), units.StaticPressure)
		return g.at(r.Text("point"), units.VelocityPressure) - drop
	default:
		q, ok := units.QuantityNamed(what)
		require.True(t, ok, what)
		return g.at(r.Text("point"), q)
	}
}

// leaveOut sets to nothing what an example leaves out.
func (g *rig) leaveOut(r published.Row) {
	if !r.Has("without") {
		return
	}
	for _, w := range strings.Fields(r.Text("without")) {
		switch w {
		case "seepage":
			clear(g.c.Seep)
		case "friction":
			clear(g.c.Friction)
		case "section":
			for _, p := range g.m.Parts() {
				if p.What == Section {
					*p.Slot.Of(&g.c) -= p.Base
				}
			}
		default:
			require.Fail(g.t, "unknown word", w)
		}
	}
}

// joinLossOf is what total pressure a leg of a wye loses, on the main's velocity
// pressure behind it, when the branch brings a share q of the air: solved by the
// model's own law. The main keeps its area unless the row gives that of the
// straight leg.
func joinLossOf(r published.Row) float64 {
	straight := 1.0
	if r.Has("straight") {
		straight = r.SI("straight")
	}
	angle, q := r.SI("angle")*math.Pi/180, r.SI("q")
	g := wyeRig(r.T(), Momentum, angle, r.SI("area"), straight)
	g.split(q)
	at := map[string]string{"branch": "B", "straight": "S"}[r.Text("leg")]
	require.NotEmpty(r.T(), at)
	total := func(p string) float64 { return g.at(p, units.StaticPressure) + g.at(p, units.VelocityPressure) }
	return (total(at) - total("M")) / g.at("M", units.VelocityPressure)
}

// wyeRig is a main with taps M behind a join, S in its straight leg and B in its
// branch, tight and without friction. Areas are over the main's.
func wyeRig(t testing.TB, join Join, angle, branch, straight float64) *rig {
	sys := &duct.System{Air: duct.Air{Standard: true},
		Collector: duct.Collector{Inlet: 0.2, Order: []duct.Part{duct.Fan}, Curve: []duct.CurvePoint{{Flow: 0, Pressure: 5000}, {Flow: 40, Pressure: 5000}}},
		Ducts: []duct.Duct{
			{ID: "main", Into: duct.IntoCollector, Straight: true, Diameter: 0.2, Length: 1, Material: "smooth", Port: -1, Children: []int{1, 2}, Taps: []duct.Tap{{ID: "M", Distance: 0.5}}},
			{ID: "up", Into: 0, Straight: true, Diameter: 0.2 * math.Sqrt(straight), Length: 1, Material: "smooth", Port: 0, Taps: []duct.Tap{{ID: "S", Distance: 0.5}}},
			{ID: "branch", Into: 0, Angle: angle, Diameter: 0.2 * math.Sqrt(branch), Length: 1, Material: "smooth", Port: 1, Taps: []duct.Tap{{ID: "B", Distance: 0.5}}}},
		Ports: []duct.Port{{ID: "p0", Duct: 1, Loss: 10}, {ID: "p1", Duct: 2, Loss: 10}},
		Order: []int{0, 1, 2}}
	m, err := New(sys, Options{Join: join})
	require.NoError(t, err)
	g := newRig(t, m)
	clear(g.c.Seep)
	clear(g.c.Friction)
	return g
}

// split sets the hoods of a wye so that its branch brings a share of the air.
func (g *rig) split(q float64) {
	const shut = 1e11
	k := func(p int) *float64 { return &g.c.K[g.m.PortSegment(p)] }
	switch q {
	case 0:
		*k(1) = shut
	case 1:
		*k(0) = shut
	default:
		lo, hi := -10.0, 16.0
		for range 80 {
			mid := (lo + hi) / 2
			*k(0), *k(1) = 10*math.Exp(max(mid, 0)), 10*math.Exp(max(-mid, 0))
			if g.solve(); g.s.PortFlow(1) < q*g.s.CollectorFlow() {
				lo = mid
			} else {
				hi = mid
			}
		}
	}
	g.solve()
	require.InDelta(g.t, q, g.s.PortFlow(1)/g.s.CollectorFlow(), 1e-4)
}

// roundThatLosesAsMuch is the diameter of a round galvanised duct that loses per length,
// at the same flow, what a rectangular one loses at 10 m/s.
func roundThatLosesAsMuch(width, height float64) float64 {
	const rough, speed, viscosity = 0.00009, 10.0, 1.51e-5
	d := &duct.Duct{}
	d.SetRectangle(width, height)
	along := func(diameter, area float64) float64 {
		v := speed * width * height / area
		f, _, _ := handbook.FrictionFactor(v*diameter/viscosity, rough/diameter, 0)
		return f / diameter * v * v
	}
	want := along(d.Hydraulic(), width*height)
	low, high := min(width, height)/2, 2*max(width, height)
	for range 60 {
		mid := (low + high) / 2
		if along(mid, math.Pi/4*mid*mid) > want {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

func modelOf(t *testing.T, sys *duct.System) *Model {
	t.Helper()
	m, err := New(sys, Options{})
	require.NoError(t, err)
	return m
}
