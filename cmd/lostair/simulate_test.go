package main

import (
	"bytes"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/golden"
)

// The readings of the demo and of the starter files are made here: by our own
// model, as built a little off the page, with the errors of their instruments.
// UPDATE_GOLDEN=1 writes them anew.

// stop is a setting of the gates and what is read in it: point ids; a port's is
// a velocity, a tap's a static pressure, filter its drop.
type stop struct {
	open, points string
}

// simulation is a survey to be made up.
type simulation struct {
	comment string
	date    string
	seed    uint64 // of the as-built system
	visit   uint64 // of the errors of this survey
	fault   *gap
	filter  float64           // multiple of the filter's drop; 0: as it is
	typed   map[string]string // value as typed, in place of the one that was read there first
	stops   []stop
}

// drift takes the as-built system off its page: log-normal, 8 % a loss. All
// segments of a duct drift alike.
func drift(r *rand.Rand, m *airflow.Model, c *airflow.Coefs) {
	type off struct{ loss, friction, seep float64 }
	byDuct := make([]off, len(m.Sys.Ducts)+1)
	for i := range byDuct {
		byDuct[i] = off{math.Exp(0.08 * r.NormFloat64()), math.Exp(0.08 * r.NormFloat64()), math.Exp(0.4 * r.NormFloat64())}
	}
	for x := range c.K {
		o := byDuct[m.Position(x).Duct+1]
		c.K[x] *= o.loss
		c.Friction[x] *= o.friction
		c.Seep[x] *= o.seep
	}
	c.Pressure *= 1 + 0.02*r.NormFloat64()
	c.Filter *= 1 + 0.08*r.NormFloat64()
}

// survey makes the readings file of a simulation.
func (sim simulation) survey(t *testing.T, sys *duct.System) []byte {
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	c, s := m.Coefs(), m.NewState()
	drift(rand.New(rand.NewPCG(sim.seed, 0)), m, &c)
	r := rand.New(rand.NewPCG(sim.seed, sim.visit))
	if sim.filter > 0 {
		c.Filter *= sim.filter
	}
	if sim.fault != nil {
		sim.fault.open(t, m, &c)
	}
	gains := map[string]float64{}
	for _, in := range sys.Instruments {
		gains[in.ID] = r.NormFloat64()
	}
	var rows []readings.Row
	for _, st := range sim.stops {
		open, err := readings.ParseOpen(st.open)
		require.NoError(t, err)
		cfg, err := m.Configure(open.All, open.Gates, nil)
		require.NoError(t, err)
		require.NoError(t, s.Solve(&c, cfg))
		for _, point := range strings.Fields(st.points) {
			rows = append(rows, sim.row(t, r, sys, m, s, open, point, gains))
		}
	}
	var b bytes.Buffer
	b.WriteString(sim.comment)
	require.NoError(t, readings.Write(&b, rows, sys.Units))
	return b.Bytes()
}

func (sim simulation) row(t *testing.T, r *rand.Rand, sys *duct.System, m *airflow.Model, s *airflow.State, open readings.Open, point string, gains map[string]float64) readings.Row {
	q := units.StaticPressure
	if _, port := sys.PortNamed(point); port {
		q = units.MeanVelocity
	} else if point == readings.Filter {
		q = units.PressureDrop
	}
	p, err := m.ProbeAt(point, q)
	require.NoError(t, err)
	in := instrumentFor(t, sys, q)
	v := s.Value(p)
	sigma := max(in.OfReading*math.Abs(v), in.Floor) / 1.96 / math.Sqrt2
	v += sigma*math.Copysign(gains[in.ID], v) + sigma*r.NormFloat64()
	row := readings.Row{Date: sim.date, Open: open, Point: point, Quantity: q, Instrument: in.ID, Typed: asRead(v, q.Dimension(), sys.Units)}
	if typed, ok := sim.typed[open.String()+" "+point]; ok {
		row.Typed = typed
	}
	return row
}

func instrumentFor(t *testing.T, sys *duct.System, q units.Quantity) duct.Instrument {
	for _, in := range sys.Instruments {
		if in.Measures == q.Dimension() {
			return in
		}
	}
	require.FailNow(t, "no instrument for "+q.String())
	return duct.Instrument{}
}

// asRead gives the digits that the display of an instrument has.
func asRead(si float64, d units.Dimension, u units.System) string {
	decimals := map[string]int{"Pa": 0, "inH2O": 2, "m/s": 1, "fpm": 0}[d.Symbol(u)]
	return strconv.FormatFloat(d.FromSI(u, si), 'f', decimals, 64)
}

// gap is an opening in the join at a duct's downstream end.
type gap struct {
	duct string
	area float64 // m²
}

func (g gap) open(t *testing.T, m *airflow.Model, c *airflow.Coefs) {
	d, ok := m.Sys.DuctNamed(g.duct)
	require.True(t, ok)
	segs := m.DuctSegments(d)
	c.Leak[m.Position(segs[len(segs)-1]).Parent] += g.area
}

var demoStops = []stop{
	{"planer", "T-planer planer R1 M1"},
	{"bandsaw", "T-bandsaw bandsaw R1"},
	{"floor", "T-floor floor R1"},
	{"saw", "T-saw saw L1 M1 filter"},
	{"sander", "T-sander sander L1"},
	{"spindle", "T-spindle spindle L1"},
	{"none", "R1 L1 M1 collector-inlet fan-inlet"},
	{"all", "R1 L1 M1 saw planer"},
	{"saw", "L1 R1"},
	{"planer", "L1"},
}

var demoSurvey = simulation{
	comment: "# Readings of the demo shop: made up with lostair's own model, one fault and one slip of the pen in them.\n",
	date:    "2026-04-11",
	seed:    7,
	visit:   1,
	fault:   &gap{"spindle-drop", 24e-4},
	typed:   map[string]string{"saw M1": "-1964"}, // -1694 with two digits swapped
	stops:   demoStops,
}

// demoSurveyUS is the same of the shop in US units.
func demoSurveyUS() simulation {
	sim := demoSurvey
	sim.typed = map[string]string{"saw M1": "-4.73"} // -7.43 with two digits swapped
	return sim
}

var demoBaseline = simulation{
	comment: "# The demo shop half a year earlier, when nothing was wrong with it.\n",
	date:    "2025-10-04",
	seed:    7,
	visit:   9,
	stops:   demoStops[:8],
}

var starterSurvey = simulation{
	comment: "# One row is one reading. Suction is written as negative static pressure.\n" +
		"# open: the gates that are open, joined with +; or all, or none.\n" +
		"# point: a tap, a port, or one of collector-inlet, fan-inlet, filter, bin.\n" +
		"# These are readings of the invented shop in system.yaml, in which nothing is wrong; put yours in their place.\n",
	date:  "2026-01-10",
	seed:  1,
	visit: 1,
	stops: []stop{
		{"saw", "S1 saw M1 filter"},
		{"planer", "P1 planer M1"},
		{"none", "S1 P1 M1"},
	},
}

func loadEmbedded(t *testing.T, file string) *duct.System {
	sys, list := systemfile.LoadFile(file)
	require.Empty(t, list)
	return sys
}

func TestDemoReadings(t *testing.T) {
	for in, sim := range map[string]simulation{"demo/": demoSurvey, "demo-us/": demoSurveyUS()} {
		sys := loadEmbedded(t, in+systemFile)
		golden.Check(t, in+readingsFile, sim.survey(t, sys))
		golden.Check(t, in+baselineFile, demoBaseline.survey(t, sys))
	}
}

func TestStarterReadings(t *testing.T) {
	for _, u := range []string{"metric", "us"} {
		golden.Check(t, "starter/readings-"+u+".csv", starterSurvey.survey(t, loadEmbedded(t, "starter/system-"+u+".yaml")))
	}
}
