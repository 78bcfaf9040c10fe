package airflow

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/handbook"
	"lostair/readings/units"
)

// plant makes a random system of about n ducts.
func plant(r *rand.Rand, n int) *duct.System {
	s := &duct.System{Name: "made up", Air: duct.Air{Standard: true}}
	in := 0.2 + 0.2*r.Float64()
	q := 12 * in * in
	s.Collector = duct.Collector{Inlet: in, Bin: true, Order: []duct.Part{duct.Cyclone, duct.Fan, duct.Filter},
		Curve:   []duct.CurvePoint{{Flow: 0, Pressure: 2500}, {Flow: q / 2, Pressure: 2450}, {Flow: q, Pressure: 1900}, {Flow: 2 * q, Pressure: 0}},
		Cyclone: &duct.Drop{Pressure: 500, At: q}, Filter: &duct.Drop{Pressure: 150, At: q}}
	switch r.IntN(5) {
	case 0:
		s.Collector.Order = []duct.Part{duct.Cyclone, duct.Filter, duct.Fan}
	case 1:
		s.Collector.Order = []duct.Part{duct.Fan, duct.Cyclone, duct.Filter}
	case 2:
		s.Collector.Order = []duct.Part{duct.Filter, duct.Fan, duct.Cyclone}
	}
	add := func(into int, dia float64) int {
		i := len(s.Ducts)
		d := duct.Duct{ID: fmt.Sprintf("d%d", i), Into: into, Straight: true, Diameter: dia, Length: 1 + 4*r.Float64(), Material: "spiral", Port: -1}
		d.Fittings = []duct.Fitting{{Elbow: true, Angle: math.Pi / 2, Radius: 1.5, Count: 1}}
		if r.IntN(2) == 0 {
			d.Taps = []duct.Tap{{ID: fmt.Sprintf("T%d", i), Distance: d.Length * 0.6}}
		}
		if into >= 0 {
			if len(s.Ducts[into].Children) > 0 {
				d.Straight, d.Angle = false, math.Pi/4
			}
			s.Ducts[into].Children = append(s.Ducts[into].Children, i)
		}
		s.Ducts = append(s.Ducts, d)
		s.Order = append(s.Order, i)
		return i
	}
	open := []int{add(duct.IntoCollector, in)}
	for len(s.Ducts) < n {
		p := open[r.IntN(len(open))]
		open = append(open, add(p, max(s.Ducts[p].Diameter*(0.6+0.4*r.Float64()), 0.08)))
	}
	for i := range s.Ducts {
		d := &s.Ducts[i]
		if len(d.Children) > 0 {
			if r.IntN(8) == 0 {
				d.Gate = fmt.Sprintf("g%d", i)
			}
			continue
		}
		d.Port = len(s.Ports)
		s.Ports = append(s.Ports, duct.Port{ID: fmt.Sprintf("p%d", i), Duct: i, Loss: 0.5 + r.Float64()})
		if r.IntN(4) > 0 {
			d.Gate = fmt.Sprintf("p%d", i)
		}
	}
	return s
}

func perturbed(r *rand.Rand, m *Model) Coefs {
	c := m.Coefs()
	for x := range c.K {
		c.K[x] *= math.Exp(0.2 * r.NormFloat64())
		c.Friction[x] *= math.Exp(0.2 * r.NormFloat64())
		if r.IntN(10) == 0 {
			c.Leak[x] += 1e-3 * r.Float64()
		}
	}
	c.Speed, c.Filter, c.Cyclone, c.Pressure = 0.8+0.3*r.Float64(), 1+2*r.Float64(), 1+r.Float64()/2, 1.02
	return c
}

func randomConfig(r *rand.Rand, m *Model) Config {
	cfg := Config{Open: make([]bool, len(m.gates)), HoseOff: make([]bool, len(m.ports))}
	for i := range cfg.Open {
		cfg.Open[i] = r.IntN(2) == 0
	}
	for i := range cfg.HoseOff {
		cfg.HoseOff[i] = r.IntN(5) == 0
	}
	return cfg
}

func TestSolveBalances(t *testing.T) {
	worst, steps := 0, 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 1))
		m, err := New(plant(r, 3+r.IntN(60)), Options{Join: Join(seed % 2)})
		require.NoError(t, err)
		c := perturbed(r, m)
		s := m.NewState()
		require.NoError(t, s.Solve(&c, randomConfig(r, m)), "seed %d", seed)
		require.Less(t, s.Imbalance, 1e-9)
		worst, steps = max(worst, s.Iterations), steps+s.Iterations
	}
	// A worse start or step changes no solution, and shows here alone.
	require.LessOrEqual(t, worst, 6)
	require.Less(t, float64(steps)/300, 4.0)
	t.Logf("steps: %d at worst, %.2f in the mean", worst, float64(steps)/300)
}

func TestSensitivityAgreesWithDifferences(t *testing.T) {
	for seed := range uint64(12) {
		r := rand.New(rand.NewPCG(seed, 2))
		sys := plant(r, 4+r.IntN(12))
		if seed%3 == 0 { // a fan without a curve
			c := &sys.Collector
			air, suction := handbook.GuessedEnds(sys)
			c.Curve, c.Guess = nil, &duct.FanGuess{MostAir: air, MostSuction: suction}
		}
		if seed%4 == 1 {
			sys.Collector.Whole = []duct.Part{duct.Cyclone, duct.Filter}
		}
		box := &sys.Collector
		switch seed % 6 { // a collector without one part
		case 2:
			box.Cyclone, box.Bin = nil, false
			box.Order = slices.DeleteFunc(slices.Clone(box.Order), func(p duct.Part) bool { return p == duct.Cyclone })
		case 4:
			box.Filter = nil
			box.Order = slices.DeleteFunc(slices.Clone(box.Order), func(p duct.Part) bool { return p == duct.Filter })
		}
		if seed%2 == 1 { // a room that lets in little air
			sys.Room.Inlets = 0.05
		}
		m, err := New(sys, Options{Join: Join(seed % 2)})
		require.NoError(t, err)
		c := perturbed(r, m)
		c.MostAir, c.Shape = 0.9+0.2*r.Float64(), 0.8+0.4*r.Float64()
		c.Bend = 0.3 * r.Float64()
		cfg := randomConfig(r, m)
		s := m.NewState()
		require.NoError(t, s.Solve(&c, cfg))
		s.Prepare()
		used := m.NewGradient()
		all, slopes := allProbes(m), []*Gradient(nil)
		for _, p := range all {
			g := m.NewGradient()
			s.Sensitivity(p, g)
			s.Sensitivity(p, used)
			require.Equal(t, g, used, "seed %d: what was worked out before stays out of it: %+v", seed, p)
			slopes = append(slopes, g)
		}
		check := func(name string, got func(*Gradient) float64, v *float64, step float64) {
			t.Helper()
			want := differences(t, m, &c, cfg, all, v, step)
			for k, p := range all {
				scale := math.Abs(s.Value(p)) + 1
				require.InDelta(t, want[k], got(slopes[k]), 2e-4*math.Abs(want[k])+2e-5*scale/max(math.Abs(*v), step), "seed %d %s %+v", seed, name, p)
			}
		}
		for x := range c.K {
			check(fmt.Sprint("K", x), func(g *Gradient) float64 { return g.K[x] }, &c.K[x], 1e-3)
			check(fmt.Sprint("bring", x), func(g *Gradient) float64 { return g.Bring[x] }, &c.Bring[x], 1e-3)
			check(fmt.Sprint("friction", x), func(g *Gradient) float64 { return g.Friction[x] }, &c.Friction[x], 1e-3)
			if m.seg[x].node != portNode {
				check(fmt.Sprint("leak", x), func(g *Gradient) float64 { return g.Leak[x] }, &c.Leak[x], 1e-6)
				check(fmt.Sprint("seep", x), func(g *Gradient) float64 { return g.Seep[x] }, &c.Seep[x], 1e-7)
			}
		}
		for i := range c.GateOpen {
			check(fmt.Sprint("open", i), func(g *Gradient) float64 { return g.GateOpen[i] }, &c.GateOpen[i], 1e-3)
			check(fmt.Sprint("shut", i), func(g *Gradient) float64 { return g.GateArea[i] }, &c.GateArea[i], 1e-3*c.GateArea[i])
		}
		for i := range c.Plain {
			check(fmt.Sprint("plain", i), func(g *Gradient) float64 { return g.Plain[i] }, &c.Plain[i], 1e-3)
		}
		check("speed", func(g *Gradient) float64 { return g.Speed }, &c.Speed, 1e-4)
		check("pressure", func(g *Gradient) float64 { return g.Pressure }, &c.Pressure, 1e-4)
		check("most air", func(g *Gradient) float64 { return g.MostAir }, &c.MostAir, 1e-4)
		check("bend", func(g *Gradient) float64 { return g.Bend }, &c.Bend, 1e-4)
		check("shape", func(g *Gradient) float64 { return g.Shape }, &c.Shape, 1e-4)
		check("filter", func(g *Gradient) float64 { return g.Filter }, &c.Filter, 1e-4)
		check("cyclone", func(g *Gradient) float64 { return g.Cyclone }, &c.Cyclone, 1e-4)
		check("bin", func(g *Gradient) float64 { return g.Bin }, &c.Bin, 1e-4)
		check("turns", func(g *Gradient) float64 { return g.Turns }, &c.Turns, 1e-4)
		check("motor full", func(g *Gradient) float64 { return g.MotorFull }, &c.MotorFull, 1e-2)
		check("motor idle", func(g *Gradient) float64 { return g.MotorIdle }, &c.MotorIdle, 1e-4)
		check("motor amps", func(g *Gradient) float64 { return g.MotorAmps }, &c.MotorAmps, 1e-4)
	}
}

// differences are how probes change with a coefficient, by steps to either side.
func differences(t *testing.T, m *Model, c *Coefs, cfg Config, all []Probe, v *float64, step float64) []float64 {
	t.Helper()
	old := *v
	at := func(x float64) *State {
		*v = x
		s := m.NewState()
		require.NoError(t, s.Solve(c, cfg))
		return s
	}
	out := make([]float64, len(all))
	up := at(old + step)
	for k, p := range all {
		out[k] = up.Value(p)
	}
	down := at(old - step)
	for k, p := range all {
		out[k] = (out[k] - down.Value(p)) / (2 * step)
	}
	*v = old
	return out
}

func allProbes(m *Model) []Probe {
	var out []Probe
	try := func(point string) {
		for q := units.StaticPressure; q <= units.FanSpeed; q++ {
			if p, err := m.ProbeAt(point, q); err == nil {
				out = append(out, p, p.OnAxis())
			}
		}
	}
	for _, d := range m.Sys.Ducts {
		for _, t := range d.Taps {
			try(t.ID)
		}
	}
	for _, p := range m.Sys.Ports {
		try(p.ID)
	}
	for _, p := range append([]string{CollectorInlet, FanInlet, FilterPoint, BinPoint}, m.PartPoints()...) {
		try(p)
	}
	return out
}

func BenchmarkSolve(b *testing.B) {
	for _, n := range []int{10, 100, 1000, 10000, 100000} {
		b.Run(fmt.Sprintf("ducts=%d", n), func(b *testing.B) {
			r := rand.New(rand.NewPCG(1, 1))
			m, err := New(plant(r, n), Options{})
			require.NoError(b, err)
			c := m.Coefs()
			s := m.NewState()
			cfg := Config{Open: make([]bool, len(m.gates))}
			for i := range cfg.Open {
				cfg.Open[i] = i%3 != 0
			}
			it := 0
			b.ReportAllocs()
			for b.Loop() {
				s.Cold()
				require.NoError(b, s.Solve(&c, cfg))
				it = s.Iterations
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/duct")
			b.ReportMetric(float64(it), "iterations")
		})
	}
}
