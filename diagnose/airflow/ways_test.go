package airflow

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings/units"
)

// By hand, on a tree of a trunk (0) that takes an arm (1) and an end (4); two hoses (2, 3)
// stand on the arm, and a gate in the arm shuts both.
func TestWaysOfATree(t *testing.T) {
	sys, bad := systemfile.Load([]byte(`
units: metric
collector: {inlet: 160, fan: {curve: [[0, 2600], [1200, 2300], [2400, 900], [2900, 0]]}}
ducts:
  - {id: trunk, into: collector, diameter: 160, length: 5, material: spiral}
  - {id: arm, into: trunk, enters: 30, diameter: 125, length: 3, material: spiral, gate: arm}
  - {id: left, into: arm, diameter: 100, length: 2, material: flexible, gate: left}
  - {id: right, into: arm, enters: 45, diameter: 80, length: 2, material: flexible}
  - {id: end, into: trunk, diameter: 125, length: 4, material: spiral, gate: end}
ports:
  - {id: one, duct: left, hood: 1}
  - {id: two, duct: right, hood: 1}
  - {id: three, duct: end, hood: plain}
`), "ways.yaml")
	require.NoError(t, bad.Err())
	m, err := New(sys, Options{})
	require.NoError(t, err)
	open := func(gates ...string) Config {
		c, err := m.Configure(false, gates, nil)
		require.NoError(t, err)
		return c
	}
	require.Equal(t, [][]int{{2, 1, 0}, {3, 1, 0}, {4, 0}}, [][]int{WayOf(m, 0), WayOf(m, 1), WayOf(m, 2)})
	require.Equal(t, [][]bool{{true, true, true, false, false}, {true, true, false, true, false}, {true, false, false, false, true}}, Ways(m))
	trunks := Trunks(sys)
	require.Equal(t, []bool{true, true, false, false, false}, trunks)
	require.Equal(t, [][]int{{2}, {3}, {4}}, [][]int{OwnWay(m, 0, trunks), OwnWay(m, 1, trunks), OwnWay(m, 2, trunks)})
	require.Equal(t, [][]bool{{false, true, false}, {true, true, false}, {false, false, true}, {false, false, false}},
		[][]bool{Reach(m, open("arm")), Reach(m, open("arm", "left")), Reach(m, open("end", "left")), Reach(m, open())})
	require.Equal(t, open("arm", "left"), Alone(m, 0))
	require.Equal(t, open("arm"), Alone(m, 1))
	require.Equal(t, open("end"), Alone(m, 2))
	require.Equal(t, [][]int{{0, 1, 2}, {0, 1}, {1}, {2}, {0, 1, 2}, {0, 1}},
		[][]int{PortsUpstream(m, 0, 9), PortsUpstream(m, 1, 9), PortsUpstream(m, 3, 9), PortsUpstream(m, 4, 9), PortsUpstream(m, -1, 9), PortsUpstream(m, 0, 2)})
	first, _ := systemfile.Load([]byte(twoEnds), "first.yaml") // whose first duct is a drop
	require.NotNil(t, first)
	require.Equal(t, [][]int{{0}, {0, 1}, {0, 1}}, [][]int{PortsUpstream(modelOf(t, first), 0, 9), PortsUpstream(modelOf(t, first), 1, 9), PortsUpstream(modelOf(t, first), -1, 9)})
	ports, probes := Connected(m, open("arm"))
	require.Equal(t, []int{1}, ports)
	require.Len(t, probes, 1)
	c, s := m.Coefs(), m.NewState()
	require.NoError(t, s.Solve(&c, open("arm")))
	require.Equal(t, s.PortFlow(1), s.Value(probes[0]))
	require.Equal(t, s.PortFlow(1), FlowOf(sys, 1, open("arm")))

	// Coefficients of nothing are laid as those of the page.
	none := m.NewCoefs()
	require.Len(t, none.Flat(), len(c.Flat()))
	for i, x := range c.Flat() {
		c.Flat()[i] = 0
		require.False(t, math.IsNaN(x))
	}
	require.Equal(t, c.Flat(), none.Flat())
}

// What a duct loses at 20 m/s: f L/d and its fittings, by hand. Of 100 mm spiral pipe
// Colebrook's formula gives f = 0.0210 at Re 132,600 and a roughness of 0.09 mm (worked
// out by hand, as row P26 of testdata/published has it for others).
func TestUsualLossOfADuct(t *testing.T) {
	d := oneDuct(0.1)
	d.Ducts[0].Length, d.Ducts[0].Material, d.Ducts[0].Roughness = 5, "", 0.09e-3
	m := modelOf(t, d)
	f := 0.02
	re := 20 * 0.1 * m.Air.Density / m.Air.Viscosity
	for range 50 {
		x := -2 * math.Log10(0.09e-3/0.1/3.7+2.51/(re*math.Sqrt(f)))
		f = 1 / (x * x)
	}
	require.InDelta(t, 132600, re, 500)
	require.InDelta(t, 0.0210, f, 0.0003)
	require.InEpsilon(t, f*5/0.1, m.UsualLoss(0), 1e-6)
	d.Ducts[0].Fittings = []duct.Fitting{{Loss: 0.4, Count: 2}}
	require.InEpsilon(t, f*5/0.1+0.8, modelOf(t, d).UsualLoss(0), 1e-6)
	d.Ducts[0].Length, d.Ducts[0].Fittings, d.Ducts[0].Taps = 1e-6, nil, nil
	require.Equal(t, leastLoss, modelOf(t, d).UsualLoss(0))
}

func modelOf(t *testing.T, sys *duct.System) *Model {
	t.Helper()
	m, err := New(sys, Options{})
	require.NoError(t, err)
	return m
}

// A machine's own port that is narrower than its duct costs Borda and Carnot's loss of a
// sudden widening, (1 - a/A)² on the faster air, which is (A/a - 1)² on the duct's; a
// wider one the loss of a sharp narrowing, 0.5 (1 - A/a) (textbook, both).
func TestOpeningLossIsThatOfAStep(t *testing.T) {
	bore := 0.01
	k := func(a float64) float64 {
		return openingLoss(&duct.Port{Opening: &duct.Opening{Width: a / 0.1, Height: 0.1}}, bore)
	}
	require.InEpsilon(t, 1, k(bore/2), 1e-9)
	require.InEpsilon(t, 9, k(bore/4), 1e-9)
	require.InEpsilon(t, 0.25, k(2*bore), 1e-9)
	require.Zero(t, openingLoss(&duct.Port{}, bore))
}

// The room's openings take the pressure of an orifice: its suction is ½ρ (Q/(0.6 A))²
// (discharge coefficient of a sharp hole, about 0.6: textbook).
func TestRoomInletsLoseAsAnOrifice(t *testing.T) {
	sys := oneDuct(0.1)
	m := modelOf(t, sys)
	free := m.Coefs()
	sys.Room.Inlets = 0.02
	m = modelOf(t, sys)
	tight := m.Coefs()
	v := 20.0 * math.Pi / 4 * 0.1 * 0.1 / (dischargeCoefficient * 0.02)
	require.InEpsilon(t, m.Air.Density/2*v*v, (tight.K[0]-free.K[0])*m.Air.Density/2*20*20, 1e-9)
	require.InDelta(t, 0.6, dischargeCoefficient, 0.02)
	require.Equal(t, free.K[1:], tight.K[1:])
}

// A hole is drilled in pipe at the duct's upstream end, unless a tap is near there.
func TestWhereAHoleCanBeDrilled(t *testing.T) {
	for _, x := range []struct {
		material string
		length   float64
		taps     []float64
		can      bool
	}{
		{"spiral", 2, nil, true}, {"flexible", 2, nil, false}, {"spiral", 0, nil, false},
		{"spiral", 2, []float64{0.2}, false}, {"spiral", 2, []float64{1.5}, true}, {"flexible", 2, []float64{1.5}, false},
	} {
		sys := oneDuct(0.1)
		sys.Ducts[0].Material, sys.Ducts[0].Length, sys.Ducts[0].Taps = x.material, x.length, nil
		for _, at := range x.taps {
			sys.Ducts[0].Taps = append(sys.Ducts[0].Taps, duct.Tap{ID: "T", Distance: at})
		}
		m := modelOf(t, sys)
		p, ok := m.ProbeHole(0)
		require.Equal(t, x.can, ok, "%+v", x)
		if ok {
			require.Equal(t, 0, m.DuctOf(p))
			require.Equal(t, math.Pi/4*0.1*0.1, p.Bore())
		}
	}
}

// The air of a day takes what was read in the place of what the page has. Dry air at
// 0 °C and 101,325 Pa weighs 1.293 kg/m3, at 20 °C 1.204 (tables; values from memory).
func TestDensityOfADaysAir(t *testing.T) {
	m := modelOf(t, oneDuct(0.1))
	with := func(read map[units.Quantity]float64) (float64, bool) {
		return m.DensityWith(func(q units.Quantity) (float64, bool) { v, ok := read[q]; return v, ok })
	}
	is := func(want float64, read map[units.Quantity]float64) {
		t.Helper()
		got, ok := with(read)
		require.True(t, ok)
		require.InDelta(t, want, got, 0.001)
	}
	is(1.204, nil)
	is(1.293, map[units.Quantity]float64{units.AirTemperature: 273.15})
	is(1.204*0.9, map[units.Quantity]float64{units.Barometer: 0.9 * 101325})
	for _, read := range []map[units.Quantity]float64{
		{units.Barometer: -1}, {units.Barometer: 0}, {units.AirTemperature: 0}, {units.Humidity: -0.1},
		{units.Barometer: 2000, units.Humidity: 1}, // water boils
		{units.Barometer: 0.69 * 101325}, {units.Barometer: 1.41 * 101325},
	} {
		_, ok := with(read)
		require.False(t, ok, "%v", read)
	}
	for _, share := range []float64{0.72, 1.38} {
		is(1.204*share, map[units.Quantity]float64{units.Barometer: share * 101325})
	}
}

// The usual conveying velocity stands in for what the file leaves out, and says so.
func TestConveyingVelocityLeftOut(t *testing.T) {
	sys := &duct.System{Limits: duct.Limits{ConveyBranch: 18}}
	c := ConveyOf(sys)
	require.Equal(t, []float64{18, UsualConvey}, []float64{c.Branch, c.Main})
	require.Equal(t, UsualConvey, c.Usual)
	sys.Limits = duct.Limits{ConveyMain: 17}
	c = ConveyOf(sys)
	require.Equal(t, []float64{UsualConvey, 17}, []float64{c.Branch, c.Main})
	sys.Limits = duct.Limits{ConveyBranch: 18, ConveyMain: 17}
	require.Equal(t, Convey{18, 17, 0, "by the system file"}, ConveyOf(sys))
	sys.Units = units.US
	sys.Limits.ConveyMain = 0
	require.Equal(t, UsualConveyUS, ConveyOf(sys).Usual)
}

// twoEnds is a trunk with two drops, of which one stands before it in the file.
const twoEnds = `
units: metric
collector: {inlet: 160, fan: {curve: [[0, 2600], [1200, 2300], [2400, 900], [2900, 0]]}}
ducts:
  - {id: drop, into: trunk, enters: 30, diameter: 125, length: 3, material: spiral}
  - {id: trunk, into: collector, diameter: 160, length: 5, material: spiral}
  - {id: end, into: trunk, diameter: 125, length: 4, material: spiral}
ports:
  - {id: one, duct: drop, hood: 1}
  - {id: two, duct: end, hood: plain}
`
