package airflow

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// Values seen in print that must not be used: the program's own differ from them.

// X1: 0.0668 ft² for a 3 in. duct (P17); it is 0.0491, and 0.0668 is 3.5 in.
func TestBadAreaOfThreeInches(t *testing.T) {
	foot2 := 0.3048 * 0.3048
	require.InDelta(t, 0.0491, area(3*0.0254)/foot2, 0.00005)
	require.InDelta(t, 0.0668, area(3.5*0.0254)/foot2, 0.00005)
}

// What woodworkers and technicians know: common practice, no source.

// Two 100 mm drops carry about as much as one of 150 mm at equal velocity.
func TestTwoSmallDropsCarryAboutOneLarge(t *testing.T) {
	require.InDelta(t, 0.89, 2*area(0.100)/area(0.150), 0.005)
	require.InDelta(t, 0.89, 2*area(4*0.0254)/area(6*0.0254), 0.005)
}

// A 90° tee loses far more than a 45° wye, by either law of the join: more
// than three times, on the velocity pressure of the branch.
func TestTeeLosesMoreThanWye(t *testing.T) {
	for _, join := range []Join{Momentum, Handbook} {
		require.Greater(t, joinLoss(t, join, math.Pi/2), 3*joinLoss(t, join, math.Pi/4), "join law %d", join)
	}
}

// joinLoss is K of a branch that carries all the air into a main of its own size.
func joinLoss(t *testing.T, join Join, angle float64) float64 {
	sys := &duct.System{Air: duct.Air{Standard: true},
		Collector: duct.Collector{Inlet: 0.15, Order: []duct.Part{duct.Fan}, Curve: []duct.CurvePoint{{Flow: 0, Pressure: 2500}, {Flow: 0.4, Pressure: 2200}, {Flow: 0.8, Pressure: 0}}},
		Ducts: []duct.Duct{
			{ID: "main", Into: duct.IntoCollector, Straight: true, Diameter: 0.15, Length: 3, Material: "spiral", Port: -1, Children: []int{1, 2}, Taps: []duct.Tap{{ID: "M", Distance: 0}}},
			{ID: "through", Into: 0, Straight: true, Diameter: 0.15, Length: 3, Material: "spiral", Port: 0, Gate: "through"},
			{ID: "branch", Into: 0, Angle: angle, Diameter: 0.15, Length: 3, Material: "spiral", Port: 1, Taps: []duct.Tap{{ID: "B", Distance: 1}}}},
		Ports: []duct.Port{{ID: "p0", Duct: 1, Loss: 0.5}, {ID: "p1", Duct: 2, Loss: 0.5}},
		Order: []int{0, 1, 2}}
	m, err := New(sys, Options{Join: join})
	require.NoError(t, err)
	g := newRig(t, m)
	clear(g.c.Seep)
	clear(g.c.Friction)
	clear(g.c.GateArea)
	g.cfg.Open[0] = false
	g.solve()
	// one diameter and one flow: what static pressure falls by is lost
	return (g.at("B", units.StaticPressure) - g.at("M", units.StaticPressure)) / g.at("B", units.VelocityPressure)
}

// One small gate open on a big main drops the main below conveying velocity.
func TestOneSmallGateStarvesTheMain(t *testing.T) {
	g, all := shop(t), shop(t)
	for i := range g.cfg.Open {
		g.cfg.Open[i] = i == 0
	}
	g.solve()
	all.solve()
	require.Greater(t, all.at("M", units.MeanVelocity), 17.5, "with every gate open the main conveys")
	require.Less(t, g.at("M", units.MeanVelocity), 12.7, "2,500 fpm, the least of P61")
	require.Greater(t, g.at("S", units.MeanVelocity), 20.0, "while the one branch conveys well")
}

// A minute of running after the cut clears the lines of a small shop: length over velocity.
func TestAMinuteClearsTheLines(t *testing.T) {
	g := shop(t).solve()
	for p := range g.m.Sys.Ports {
		var seconds float64
		for d := g.m.Sys.Ports[p].Duct; d >= 0; d = g.m.Sys.Ducts[d].Into {
			v := g.s.DuctFlow(d) / area(g.m.Sys.Ducts[d].Diameter)
			seconds += g.m.Sys.Ducts[d].Length / v
		}
		require.Less(t, seconds, 60.0, "port %d", p)
		require.Greater(t, seconds, 0.1)
	}
}

// A leaking bin under a cyclone matters more than a like hole upstream: the
// suction there is the strongest before the fan, so more air comes in, and it
// costs every port alike, where a hole in a drop costs that drop. (The drop
// with the hole loses more itself: the air model says so, and the saying means
// also the dust that the bin's air carries back out, which is no air loss.)
func TestLeakingBinMattersMore(t *testing.T) {
	const hole = 10e-4
	with := func(node int) (in float64, ports []float64) {
		g := shop(t)
		g.c.Leak[node] += hole
		g.solve()
		perArea, _ := g.s.leakPer(node, g.s.P[node])
		in = hole * perArea
		for p := range g.m.Sys.Ports {
			ports = append(ports, g.s.PortFlow(p))
		}
		return in, ports
	}
	in, ports := with(BinNode)
	g := shop(t)
	for d := range g.m.Sys.Ducts {
		for _, x := range g.m.DuctSegments(d) {
			up, others := with(x)
			require.Greater(t, in, up, "duct %d", d)
			for p := range others {
				if d > 0 && g.m.Sys.Ports[p].Duct != d {
					require.Less(t, ports[p], others[p], "port %d, hole in duct %d", p, d)
				}
			}
		}
	}
}

// shop is a small shop: a 200 mm main, three drops of 100 mm, gates, cyclone and filter.
func shop(t *testing.T) *rig {
	sys := &duct.System{Air: duct.Air{Standard: true},
		Collector: duct.Collector{Inlet: 0.2, Bin: true, Order: []duct.Part{duct.Cyclone, duct.Fan, duct.Filter},
			Curve:   []duct.CurvePoint{{Flow: 0, Pressure: 2900}, {Flow: 0.4, Pressure: 2700}, {Flow: 0.8, Pressure: 2000}, {Flow: 1.2, Pressure: 0}},
			Cyclone: &duct.Drop{Pressure: 400, At: 0.6}, Filter: &duct.Drop{Pressure: 150, At: 0.6}},
		Ducts: []duct.Duct{{ID: "main", Into: duct.IntoCollector, Straight: true, Diameter: 0.2, Length: 6, Material: "spiral", Port: -1, Taps: []duct.Tap{{ID: "M", Distance: 3}}}},
		Order: []int{0}}
	for i, tap := range []string{"S", "T", "U"} {
		sys.Ducts = append(sys.Ducts, duct.Duct{ID: "drop-" + tap, Into: 0, Straight: i == 0, Angle: float64(min(i, 1)) * math.Pi / 4,
			Diameter: 0.1, Length: 4, Material: "spiral", Port: i, Gate: "gate-" + tap, Taps: []duct.Tap{{ID: tap, Distance: 3}}})
		sys.Ducts[0].Children = append(sys.Ducts[0].Children, i+1)
		sys.Ports = append(sys.Ports, duct.Port{ID: "port-" + tap, Duct: i + 1, Loss: 0.8})
		sys.Order = append(sys.Order, i+1)
	}
	m, err := New(sys, Options{})
	require.NoError(t, err)
	return newRig(t, m)
}

// P46: static pressure falls all the way to the fan inlet of a run of one
// diameter (rule of the EPA's Module 5 review), and each device takes its drop.
func TestStaticPressureFallsTowardsTheFan(t *testing.T) {
	sys := oneDuct(0.15)
	sys.Collector.Curve = []duct.CurvePoint{{Flow: 0, Pressure: 2500}, {Flow: 0.5, Pressure: 2000}, {Flow: 1, Pressure: 0}}
	sys.Collector.Order = []duct.Part{duct.Cyclone, duct.Fan}
	sys.Collector.Cyclone = &duct.Drop{Pressure: 500, At: 0.4}
	sys.Ports[0].Loss = 0.9
	d := &sys.Ducts[0]
	d.Length, d.Taps = 10, nil
	for i, id := range []string{"A", "B", "C"} {
		d.Taps = append(d.Taps, duct.Tap{ID: id, Distance: 2 + 3*float64(i)})
	}
	m, err := New(sys, Options{})
	require.NoError(t, err)
	g := newRig(t, m)
	clear(g.c.Seep)
	g.solve()
	last := 0.0
	for _, point := range []string{"P", "A", "B", "C", CollectorInlet, FanInlet} {
		p := g.at(point, units.StaticPressure)
		require.Less(t, p, last, point)
		last = p
	}
	q := g.s.CollectorFlow()
	require.InEpsilon(t, 500*(q/0.4)*(q/0.4), g.at(CollectorInlet, units.StaticPressure)-g.at(FanInlet, units.StaticPressure), 1e-6)
}

// P64: too large a section slows the air, too small a one costs pressure and
// flow, and falling flow threatens the transport velocity (EPA Module 5).
func TestSectionAgainstVelocityAndPressure(t *testing.T) {
	with := func(d float64) (v, q float64) {
		g := shop(t)
		sys := *g.m.Sys
		sys.Ducts = append([]duct.Duct(nil), sys.Ducts...)
		sys.Ducts[1].Diameter = d
		m, err := New(&sys, Options{})
		require.NoError(t, err)
		g = newRig(t, m)
		g.solve()
		return g.at("S", units.MeanVelocity), g.s.PortFlow(0)
	}
	vSmall, qSmall := with(0.08)
	v, q := with(0.1)
	vLarge, qLarge := with(0.16)
	require.Less(t, vLarge, v)
	require.Less(t, v, vSmall)
	require.Less(t, qSmall, q)
	require.Less(t, q, qLarge)
}

// P19 (EPA, Basic Concepts, Module 5): with the hood unchanged its static
// pressure depends on the flow alone, so a fall of it is a fall of flow,
// whatever has changed downstream.
func TestHoodSuctionIsAFlowMeter(t *testing.T) {
	ratio := func(change func(*rig)) (sp, q float64) {
		g := shop(t).solve()
		sp, q = g.at("port-S", units.StaticPressure), g.s.PortFlow(0)
		g = shop(t)
		change(g)
		g.solve()
		return g.at("port-S", units.StaticPressure) / sp, g.s.PortFlow(0) / q
	}
	for name, change := range map[string]func(*rig){
		"slow fan":    func(g *rig) { g.c.Speed = 0.8 },
		"full filter": func(g *rig) { g.c.Filter = 3 },
		"leak":        func(g *rig) { g.c.Leak[BinNode] += 3e-3 },
		"clogged":     func(g *rig) { g.c.K[g.m.DuctSegments(1)[0]] += 4 },
	} {
		sp, q := ratio(change)
		require.Less(t, q, 0.99, name)
		require.InEpsilon(t, math.Sqrt(sp), q, 1e-9, name)
	}
}

// P16: total pressure is static and velocity pressure together. Fan static
// pressure is outlet static less inlet total, so with no filter behind the fan
// the inlet's total is the curve's pressure below the room.
func TestFanInletTotalIsStaticAndVelocity(t *testing.T) {
	g := shop(t)
	g.c.Filter = 0
	g.solve()
	total := g.at(FanInlet, units.StaticPressure) + g.at(FanInlet, units.VelocityPressure)
	f := g.m.fan.At(g.s.CollectorFlow(), g.m.Air.Density, g.c.fan())
	require.InEpsilon(t, -f.P, total, 1e-7)
}
