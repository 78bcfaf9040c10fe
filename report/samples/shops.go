package samples

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/units"
)

// Shops of any size, all invented: a main with side runs, four or five drops
// each, every drop a pipe with a tap and a hose with a gate.

var machineNames = []string{"saw", "planer", "sander", "lathe", "router", "bandsaw", "moulder", "edger", "drum", "mitre", "shaper", "bench"}

func BigShop(t testing.TB, ports int, u units.System) *duct.System {
	t.Helper()
	k := math.Sqrt(float64(min(ports, 40)) / 3) // the fan grows with the plant
	s := &duct.System{File: "system.yaml", Name: fmt.Sprintf("Valley joinery, %d ports", ports), Units: u, Air: duct.Air{Standard: true}}
	flow := 0.3 * k
	s.Collector = duct.Collector{Inlet: 0.16 * math.Sqrt(k), Bin: true,
		Curve:   []duct.CurvePoint{{Flow: 0, Pressure: 2900}, {Flow: flow, Pressure: 2600}, {Flow: 2 * flow, Pressure: 1500}, {Flow: 3 * flow, Pressure: 0}},
		Cyclone: &duct.Drop{Pressure: 450, At: 1.5 * flow}, Filter: &duct.Drop{Pressure: 150, At: 1.5 * flow}}
	s.Instruments = []duct.Instrument{
		{ID: "gauge", Measures: units.Pressure, OfReading: 0.01, Floor: 3}, {ID: "vane", Measures: units.Velocity, OfReading: 0.03, Floor: 0.2}}
	trunk := duct.IntoCollector
	for done := 0; done < ports; {
		trunk = addTrunk(s, trunk, len(s.Ports), s.Collector.Inlet)
		n := min(5, ports-done)
		run := trunk
		if ports > 5 && done+n < ports {
			s.Ducts = append(s.Ducts, duct.Duct{ID: fmt.Sprintf("side-%d", done/5+1), Into: trunk, Angle: math.Pi / 4, Diameter: 0.15, Length: 4.5,
				Material: "spiral", Fittings: []duct.Fitting{{Elbow: true, Angle: math.Pi / 2, Radius: 1.5, Count: 1}}, Taps: []duct.Tap{{ID: fmt.Sprintf("R%d", done/5+1), Distance: 2.2}}})
			run = len(s.Ducts) - 1
		}
		for i := range n {
			addDrop(s, run, done+i, i == n-1)
		}
		done += n
	}
	require.NoError(t, s.Finish().Err())
	return s
}

func addTrunk(s *duct.System, into, n int, d float64) int {
	s.Ducts = append(s.Ducts, duct.Duct{ID: fmt.Sprintf("main-%d", n/5+1), Into: into, Straight: true, Diameter: d, Length: 5, Material: "spiral",
		Taps: []duct.Tap{{ID: fmt.Sprintf("M%d", n/5+1), Distance: 2}}})
	return len(s.Ducts) - 1
}

func addDrop(s *duct.System, run, n int, straight bool) {
	name := machineNames[n%len(machineNames)]
	if n >= len(machineNames) {
		name = fmt.Sprintf("%s-%d", name, n/len(machineNames)+1)
	}
	d := duct.Duct{ID: name + "-drop", Into: run, Straight: straight, Diameter: 0.1 + 0.025*float64(n%2), Length: 2.4, Material: "spiral",
		Taps: []duct.Tap{{ID: "T-" + name, Distance: 1.6}}}
	if !straight {
		d.Angle = math.Pi / 6
	}
	s.Ducts = append(s.Ducts, d, duct.Duct{ID: name + "-hose", Into: len(s.Ducts), Straight: true, Diameter: 0.1, Length: 1.5, Material: "flexible", Gate: name})
	s.Ports = append(s.Ports, duct.Port{ID: name, Duct: len(s.Ducts) - 1, Hood: "flanged", Need: 600.0 / 3600})
}

// Simulated reads every drop, port and some of the main in a system that spoil
// has changed, each gate open alone, and all open.
func Simulated(t testing.TB, s *duct.System, spoil func(m *airflow.Model, c *airflow.Coefs)) *readings.Survey {
	t.Helper()
	return SimulatedWith(t, s, "gauge", "vane", spoil)
}

func SimulatedWith(t testing.TB, s *duct.System, gauge, vane string, spoil func(m *airflow.Model, c *airflow.Coefs)) *readings.Survey {
	t.Helper()
	m, err := airflow.New(s, airflow.Options{})
	require.NoError(t, err)
	c := m.Coefs()
	spoil(m, &c)
	st := m.NewState()
	var rows []readings.Row
	read := func(o readings.Open, point string, q units.Quantity, instrument string) {
		cfg, err := m.Configure(o.All, o.Gates, nil)
		require.NoError(t, err)
		require.NoError(t, st.Solve(&c, cfg))
		p, err := m.ProbeAt(point, q)
		require.NoError(t, err)
		rows = append(rows, readings.Row{Open: o, Point: point, Quantity: q, Value: st.Value(p), Instrument: instrument, Date: "2026-03-02"})
	}
	for i, p := range s.Ports {
		o := readings.Open{Gates: []string{s.Ducts[p.Duct].Gate}}
		drop := s.Ducts[p.Duct].Into
		read(o, s.Ducts[drop].Taps[0].ID, units.StaticPressure, gauge)
		read(o, p.ID, units.MeanVelocity, vane)
		if up := s.Ducts[drop].Into; up >= 0 && i%2 == 0 {
			read(o, s.Ducts[up].Taps[0].ID, units.StaticPressure, gauge)
		}
		if i < 8 {
			read(o, readings.CollectorInlet, units.StaticPressure, gauge)
		}
	}
	all := readings.Open{All: true}
	read(all, readings.FanInlet, units.StaticPressure, gauge)
	read(all, readings.Filter, units.PressureDrop, gauge)
	return reload(t, rows, s.Units)
}

func reload(t testing.TB, rows []readings.Row, u units.System) *readings.Survey {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, readings.Write(&b, rows, u))
	sv, bad := readings.Load(&b, "survey.csv", u)
	require.NoError(t, bad.Err())
	return sv
}

func LeakAt(t testing.TB, id string, area float64) func(*airflow.Model, *airflow.Coefs) {
	return func(m *airflow.Model, c *airflow.Coefs) {
		d, ok := m.Sys.DuctNamed(id)
		require.True(t, ok, id)
		c.Leak[m.DuctSegments(d)[0]] += area
	}
}

// Diagnosed is a real diagnosis.
func Diagnosed(t testing.TB, s *duct.System, sv *readings.Survey) *diagnose.Result {
	t.Helper()
	r, err := diagnose.Diagnose(context.Background(), s, sv, diagnose.Options{})
	require.NoError(t, err)
	return r
}

// Sketched is a result made without the search, for large plants: every
// reading against the file, and one suspect as given.
func Sketched(t testing.TB, s *duct.System, sv *readings.Survey, faults ...diagnose.Fault) *diagnose.Result {
	t.Helper()
	m, err := airflow.New(s, airflow.Options{})
	require.NoError(t, err)
	c, st := m.Coefs(), m.NewState()
	r := &diagnose.Result{System: s, Survey: sv, Verdict: diagnose.Faults, Sound: 0.01, Broken: 0.99, Faults: faults}
	seen := map[string]bool{}
	for _, rd := range sv.Readings {
		cfg, err := m.Configure(rd.Open.All, rd.Open.Gates, nil)
		require.NoError(t, err)
		require.NoError(t, st.Solve(&c, cfg))
		p, err := m.ProbeAt(rd.Point, rd.Quantity)
		require.NoError(t, err)
		v := st.Value(p)
		r.Checks = append(r.Checks, diagnose.Check{Reading: rd, Measured: rd.Value, Expected: v, Sigma: math.Abs(v) * 0.02, Fitted: rd.Value})
		if rd.Quantity == units.MeanVelocity && !seen[rd.Point] {
			seen[rd.Point] = true
			i, _ := s.PortNamed(rd.Point)
			q := rd.Value * math.Pi / 4 * 0.01
			r.Ports = append(r.Ports, diagnose.PortFlow{Port: rd.Point, Open: rd.Open, Flow: fault.Interval{Value: q, Low: 0.96 * q, High: 1.04 * q}, Expected: st.PortFlow(i), Need: s.Ports[i].Need})
		}
	}
	for _, f := range faults {
		r.Candidates = append(r.Candidates, f.Candidate)
		r.Candidates = append(r.Candidates, f.Alike...)
		if diagnose.OfSystem(f) {
			r.Fitted = append(r.Fitted, f.Candidate)
		}
	}
	return r
}

// DemoFaults is one of each sort.
func DemoFaults(sv *readings.Survey) []diagnose.Fault {
	leak := fault.Candidate{Kind: fault.Leak, Where: "planer-drop", Probability: 0.61}
	hose := fault.Candidate{Kind: fault.Leak, Where: "planer-hose", Probability: 0.22}
	side := fault.Candidate{Kind: fault.Leak, Where: "main-1", Probability: 0.09}
	bin := fault.Candidate{Kind: fault.Leak, Where: "bin", Probability: 0.05}
	open := readings.Open{Gates: []string{"planer"}}
	fix := diagnose.Fix{For: []fault.Candidate{leak, hose}, Cost: 1,
		Gains: []diagnose.Gain{{Port: "planer", Open: open, Before: 0.2, After: fault.Interval{Value: 0.26, Low: 0.25, High: 0.27}, Need: 0.17}}}
	return []diagnose.Fault{
		{Candidate: leak, Together: 0.97, Severity: fault.Interval{Value: 25e-4, Low: 21e-4, High: 30e-4}, Dimension: units.Area,
			Alike: []fault.Candidate{hose, side, bin}, Fix: &fix,
			Evidence: []diagnose.Evidence{{Reading: 4, Measured: -1869, Sound: -2245, WithFault: -1871, Sigma: 20}}},
		{Candidate: fault.Candidate{Kind: fault.GateRestricted, Where: "saw", Probability: 0.58}, Together: 0.58,
			Severity: fault.Interval{Value: 0.7, Low: 0.55, High: 0.85}, Dimension: units.Share},
		{Candidate: fault.Candidate{Kind: fault.FilterLoaded, Where: "filter", Probability: 0.55}, Together: 0.55,
			Severity: fault.Interval{Value: 2.1, Low: 1.8, High: 2.5}, Dimension: units.Multiple},
		{Candidate: fault.Candidate{Kind: fault.Undersized, Where: "sander-hose", Probability: 0.9}, Together: 0.9,
			Severity: fault.Interval{Value: 0.125, Low: 0.118, High: 0.133}, Dimension: units.Diameter, Port: "sander"},
		{Candidate: fault.Candidate{Kind: fault.ReadingWrong, Where: "row 6", Probability: 0.97}, Together: 0.97,
			Severity: fault.Interval{Value: -2265, Low: -2310, High: -2220}, Dimension: units.Pressure, Row: &sv.Rows[4], Slip: fault.Slip{Kind: fault.SlipDigits}},
	}
}
