package airflow

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/handbook"
	"lostair/readings/units"
)

// pageShop has one of everything that a page may say.
const pageShop = `
units: metric
collector:
  inlet: 160
  fan: {curve: [[0, 2600], [1200, 2300], [2400, 900], [2900, 0]]}
  cyclone: {drop: 450, at: 1600}
  filter: {drop: 150, at: 1600}
  bin: true
room: {inlets: 0.2 m2}
ducts:
  - {id: trunk, into: collector, diameter: 160, length: 5, material: spiral, taps: {M: 2}}
  - {id: arm, into: trunk, enters: 30, diameter: 125, length: 3, material: spiral, gate: arm, fittings: [{elbow: 90, radius: 1.5}, {loss: 0.3}], taps: {A: 1}}
  - {id: narrow, into: arm, diameter: 100, length: 2, material: flexible, gate: narrow}
  - {id: end, into: trunk, diameter: 125, length: 4, material: spiral, gate: end}
ports:
  - {id: one, duct: narrow, hood: 1, opening: 80}
  - {id: two, duct: end, hood: plain}
`

func pageModel(t *testing.T) *Model {
	t.Helper()
	sys, bad := systemfile.Load([]byte(pageShop), "page.yaml")
	require.NoError(t, bad.Err())
	return modelOf(t, sys)
}

// Each part of the page's coefficients says where it lies, and has the page's amount:
// a duct's bends and leaks are shared out by length, factors are one.
func TestPartsOfThePage(t *testing.T) {
	m := pageModel(t)
	type place struct{ duct, port, gate int32 }
	count := map[What]int{}
	total := map[What]float64{}
	for _, p := range m.Parts() {
		count[p.What]++
		total[p.What] += p.Base
		at := place{p.Duct, p.Port, p.Gate}
		switch p.What {
		case Hood, PlainEnd:
			require.Equal(t, place{int32(m.Sys.Ports[p.Port].Duct), p.Port, -1}, at, p.What)
		case Section: // of a port's opening, or of ducts
			if p.Port >= 0 {
				require.Equal(t, place{2, 0, -1}, at)
				break
			}
			require.Equal(t, place{2, -1, -1}, at)
		case Friction, Bends, FreeLoss, Seepage, Entry, Passage, Exchange:
			require.GreaterOrEqual(t, p.Duct, int32(0))
			require.Equal(t, place{p.Duct, -1, -1}, at, p.What)
		case OpenGate, ShutGate:
			require.Equal(t, place{int32(m.gates[p.Gate].duct), -1, p.Gate}, at)
			require.Equal(t, p.Gate, p.Slot.Ix)
		default:
			require.Equal(t, place{-1, -1, -1}, at, p.What)
		}
		switch p.What {
		case Friction, Exchange, FanSpeed, FanPressure, FanMostAir, FanShape, CycloneLoss, FilterLoss:
			require.Equal(t, 1.0, p.Base, "a factor")
		case FanBend, Passage:
			require.Zero(t, p.Base)
		case OpenGate:
			require.Equal(t, 0.15, p.Base)
		case ShutGate:
			_, bore := m.GateDuct(int(p.Gate))
			require.InEpsilon(t, 0.004*bore, p.Base, 1e-12)
		case BinShare:
			require.Equal(t, 0.25, p.Base)
		}
	}
	require.Equal(t, 2, count[Section], "the machine's port, and the narrower duct")
	require.Equal(t, 3, count[OpenGate])
	require.Equal(t, 2, count[Entry], "of the trunk's two legs")
	require.Equal(t, 2, count[Exchange])
	require.Equal(t, 1, count[Passage])
	require.Equal(t, 2, count[Hood])
	require.Equal(t, 6, count[Friction], "two pieces of trunk and arm")
	require.InEpsilon(t, handbook.ElbowLoss(math.Pi/2, 1.5, true), total[Bends], 1e-9)
	require.InEpsilon(t, 0.3, total[FreeLoss], 1e-9)
	surface := math.Pi * (0.16*5 + 0.125*3 + 0.1*2 + 0.125*4)
	require.InEpsilon(t, handbook.LeakageClass*surface, total[Seepage], 1e-9)
	for _, p := range m.Parts() {
		if p.What == Bends || p.What == FreeLoss {
			g := m.Position(int(p.Slot.Ix))
			require.InEpsilon(t, total[p.What]*(g.To-g.From)/3, p.Base, 1e-9, "by length")
		}
	}
}

// A slot is one place of the coefficients, by itself or in the list of all.
func TestSlotsAreTheirCoefficients(t *testing.T) {
	m := pageModel(t)
	c := m.Coefs()
	for i := range c.Flat() {
		c.Flat()[i] = float64(i)
	}
	alone := map[*float64]bool{}
	for _, p := range m.Parts() {
		v, at := p.Slot.Of(&c), m.At(p.Slot)
		if at < 0 {
			alone[v] = true
			continue
		}
		require.Same(t, &c.Flat()[at], v, "%+v", p)
	}
	require.Len(t, alone, 12, "each by itself")
	d := c.Clone()
	d.K[0]++
	require.NotEqual(t, c.K[0], d.K[0])
}

// What can be read where; the error says what is wrong.
func TestWhatCanBeReadWhere(t *testing.T) {
	m := pageModel(t)
	all := []units.Quantity{units.StaticPressure, units.Suction, units.VelocityPressure, units.MeanVelocity, units.CentreVelocity, units.FlowRate, units.TotalPressure}
	slices.Sort(all)
	still := []units.Quantity{units.StaticPressure, units.Suction}
	for point, want := range map[string][]units.Quantity{
		"M": all, "A": all, "one": all, CollectorInlet: all, FanInlet: all, CycloneInlet: all, CycloneOutlet: all,
		BinPoint: still, FilterPoint: {units.PressureDrop}, FanPoint: {units.MotorCurrent, units.MotorPower, units.FanSpeed},
		FanOutlet: append(slices.Clone(still), units.FlowRate), AfterFilter: append(slices.Clone(still), units.FlowRate), "nowhere": nil,
	} {
		var got []units.Quantity
		for q := units.StaticPressure; q <= units.Humidity; q++ {
			p, err := m.ProbeAt(point, q)
			if err == nil {
				got = append(got, q)
				require.Equal(t, q, p.Quantity())
				require.Equal(t, point == "one", p.AtPort())
			}
		}
		require.Equal(t, want, got, point)
	}
	for _, x := range []struct {
		point string
		q     units.Quantity
		says  string
	}{
		{FilterPoint, units.Suction, "suction can't be read at the filter; pressure_drop can"},
		{FanPoint, units.Suction, "suction can't be read at the fan; speed, motor_current and motor_power can"},
		{"M", units.FanSpeed, "speed is read at the point fan only"},
		{"M", units.Humidity, "humidity is read at the point room only"},
		{"M", units.PressureDrop, "a pressure_drop is read at the filter only"},
		{BinPoint, units.FlowRate, "at the bin only its static pressure can be read"},
		{FanOutlet, units.MeanVelocity, "velocity can't be read at fan-outlet; static_pressure can"},
		{"nowhere", units.Suction, `there is no tap or port "nowhere"`},
	} {
		_, err := m.ProbeAt(x.point, x.q)
		require.EqualError(t, err, x.says)
	}
	m.Sys.Collector.Order = []duct.Part{duct.Fan}
	_, err := m.ProbeAt(CycloneInlet, units.Suction)
	require.EqualError(t, err, "the system has no cyclone")
	m.filSeg = -1
	_, err = m.ProbeAt(FilterPoint, units.PressureDrop)
	require.EqualError(t, err, "the system has no filter")
}

// The bore at a point is that of the duct on the side from which its air is told, of a
// port that of its opening; where a tap stands between two pieces both have one duct.
func TestBoresOfProbes(t *testing.T) {
	m := pageModel(t)
	for point, d := range map[string]float64{"M": 0.16, "A": 0.125, "one": 0.08, "two": 0.125, CollectorInlet: 0.16, FanInlet: 0.16, CycloneOutlet: 0.16} {
		p, err := m.ProbeAt(point, units.MeanVelocity)
		require.NoError(t, err)
		require.InEpsilon(t, area(d), p.Bore(), 1e-9, point)
	}
	off, err := m.Configure(true, nil, []string{"one"})
	require.NoError(t, err)
	p, err := m.ProbeAt("one", units.MeanVelocity)
	require.NoError(t, err)
	require.InEpsilon(t, area(0.1), m.In(p, off).Bore(), 1e-9, "unhooked")
	_, err = m.Configure(false, []string{"nosuch"}, nil)
	require.EqualError(t, err, `there is no gate "nosuch"`)
	_, err = m.Configure(false, nil, []string{"nosuch"})
	require.EqualError(t, err, `there is no port "nosuch"`)
}

// The fan laws: flow with speed, pressure with its square and with density; a stopped fan
// gives nothing. By given coefficients the ends of the curve go likewise.
func TestFanLaws(t *testing.T) {
	m := pageModel(t)
	c := m.Coefs()
	for _, q := range []float64{0.1, 0.4, 0.7} {
		full := m.fan.At(q, 1.204, c.fan()).P
		c.Speed = 0.8
		require.InEpsilon(t, 0.64*full, m.fan.At(0.8*q, 1.204, c.fan()).P, 1e-9)
		c.Speed = 1
		require.InEpsilon(t, full/2, m.fan.At(q, 0.602, c.fan()).P, 1e-9)
		c.MostAir = 1.2
		require.InEpsilon(t, full, m.fan.At(1.2*q, 1.204, c.fan()).P, 1e-9)
		c.MostAir, c.Pressure = 1, 1.1
		require.InEpsilon(t, 1.1*full, m.FanCurve(q, &c), 1e-9)
		c.Pressure = 1
	}
	c.Speed = 0
	require.Zero(t, m.fan.At(0, 1.204, c.fan()).P)
	require.Negative(t, m.fan.At(0.1, 1.204, c.fan()).P)
	c.Speed, c.MostAir, c.Pressure = 0.9, 1.1, 1.2
	air, suction := m.FanEnds(&c)
	require.InEpsilon(t, 0.9*1.1*2900/3600, air, 1e-9)
	require.InEpsilon(t, 0.81*1.2*2600, suction, 1e-9)
}

// A motor's load by hand: at half the most air, of an idle share of 0.45, it is 0.725; by
// the cube of speed at no flow.
func TestAMotorsLoad(t *testing.T) {
	m := pageModel(t)
	c, s := m.Coefs(), m.NewState()
	s.c = &c
	at := func(q float64) float64 {
		s.Q[m.fanSeg] = q
		return s.load().U * handbook.StandardDensity / m.Air.Density
	}
	full := 2900. / 3600
	require.InDelta(t, 0.725, at(full/2), 1e-9)
	require.InDelta(t, 1, at(full), 1e-9)
	require.InDelta(t, 0.45, at(-1), 1e-9)
	c.Speed = 0.5
	require.InDelta(t, 0.45/8, at(0), 1e-9)
	require.InDelta(t, 0.45/8+0.55/4, at(full), 1e-9)
}

// What a duct loses by itself is what total pressure falls by along it: of one duct right at
// the collector all that there is.
func TestADuctsLossIsItsFallOfTotalPressure(t *testing.T) {
	sys := oneDuct(0.1)
	sys.Collector.Curve = []duct.CurvePoint{{Flow: 0, Pressure: 1000}, {Flow: 0.3, Pressure: 200}}
	sys.Ducts[0].Material, sys.Ports[0].Loss = "spiral", 0.7
	m := modelOf(t, sys)
	c, s := m.Coefs(), m.NewState()
	clear(c.Seep)
	cfg, err := m.Configure(true, nil, nil)
	require.NoError(t, err)
	require.NoError(t, s.Solve(&c, cfg))
	p, err := m.ProbeAt(CollectorInlet, units.TotalPressure)
	require.NoError(t, err)
	require.InEpsilon(t, -s.Value(p), s.DuctLoss(0), 1e-6)
	require.Equal(t, s.PortFlow(0), s.DuctFlow(0))
	q, err := m.ProbeAt("P", units.StaticPressure)
	require.NoError(t, err)
	require.InEpsilon(t, -1.7*s.VelocityPressure(q), s.Value(q), 1e-9, "a hood's suction")
}

// Without background leakage, friction and the fan's bends every equation is of second
// degree, and where the solver starts is the solution already.
func TestTheStartSolvesAPlantWithoutFriction(t *testing.T) {
	off := 0
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 17))
		m, err := New(plant(r, 3+r.IntN(30)), Options{Join: Join(seed % 2)})
		require.NoError(t, err)
		c := perturbed(r, m)
		clear(c.Friction)
		clear(c.Seep)
		s := m.NewState()
		s.c, s.cfg = &c, randomConfig(r, m)
		s.totals()
		s.start()
		norm := s.up(nil)
		require.Less(t, norm, 2e-3, "seed %d", seed)
		if norm > 1e-4 {
			off++
		}
	}
	require.LessOrEqual(t, off, 2, "where next to no air flows, holes at no suction are not quite orifices")
}

// Background leakage goes with suction to the power 0.65, whether it is worked out anew or
// carried on from a suction near; the flow through a hole with its root. Slopes are those.
func TestLeaksByTheirLaws(t *testing.T) {
	m := pageModel(t)
	c, s := m.Coefs(), m.NewState()
	s.c = &c
	const x = 3
	for _, p := range []float64{-40, -400, -2500, 300} {
		for _, moved := range []float64{0, -0.028, -0.02, -0.005, 0.01, 0.028, 0.5} {
			s.seepPower(x, p*p)
			at := p * (1 + moved)
			area, seep := s.leakPer(x, at)
			in := -math.Copysign(1, at)
			require.InEpsilon(t, in*math.Pow(math.Abs(at), 0.65), seep, 2e-8, "%v, then %v", p, at)
			require.InEpsilon(t, in*0.61*math.Sqrt(2*math.Abs(at)/m.Air.Density), area, 1e-6)
			c.Leak[x], c.Seep[x] = 3e-4, 2e-5
			q, dq := s.leak(x, at)
			require.InEpsilon(t, 3e-4*area+2e-5*seep, q, 1e-6)
			require.InEpsilon(t, (0.5*3e-4*area+0.65*2e-5*seep)/at, dq, 1e-4)
			c.Leak[x], c.Seep[x] = 0, 0
			q, dq = s.leak(x, at)
			require.Zero(t, q)
			require.Zero(t, dq)
		}
	}
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
	v := 20.0 * math.Pi / 4 * 0.1 * 0.1 / (handbook.DischargeCoefficient * 0.02)
	require.InEpsilon(t, m.Air.Density/2*v*v, (tight.K[0]-free.K[0])*m.Air.Density/2*20*20, 1e-9)
	require.InDelta(t, 0.6, handbook.DischargeCoefficient, 0.02)
	require.Equal(t, free.K[1:], tight.K[1:])
}
