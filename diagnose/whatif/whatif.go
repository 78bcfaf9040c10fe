package whatif

import (
	"context"
	"fmt"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/settings"
	"lostair/diagnose/route"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// Comparison is a system as the file has it beside the same with some changes. All
// values are SI.
type Comparison struct {
	System   *duct.System
	Changes  []Setting
	Settings []Gates
}

// Gates is one setting of the gates before and after.
type Gates struct {
	Open readings.Open
	Rows []Row // ports, ducts, taps, then the collector
}

// Row is one value before and after.
type Row struct {
	What          string // "port", "duct", "tap" or "collector"
	Where         string
	Quantity      units.Quantity
	Before, After float64
	Least         float64 // need of a port, conveying velocity of a duct; 0: none
}

// Compare computes the values of a system before and after changes such as
// "planer-drop.diameter=125 mm" or "filter=2x", in each of the gate settings; none: those in use.
// The error is a problem.List with the nearest names.
func Compare(ctx context.Context, sys *duct.System, changes []string, open []readings.Open) (*Comparison, error) {
	before, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	out := &Comparison{System: sys}
	e := &Edit{Sys: sys.Copy()}
	var bad problem.List
	for _, c := range changes {
		s, p := e.Take(c)
		if p != nil {
			bad = append(bad, *p)
			continue
		}
		out.Changes = append(out.Changes, s)
	}
	for _, o := range open {
		for _, g := range o.Gates {
			if _, ok := before.GateIndex(g); !ok {
				bad = append(bad, observe.Unknown(sys.File, 0, 0, "gate", g, sys.Gates()))
			}
		}
	}
	if len(bad) == 0 {
		e.halve()
		bad = append(bad, e.Sys.Finish()...)
	}
	if err := bad.Err(); err != nil {
		return nil, err
	}
	after, err := airflow.New(e.Sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("with these changes: %w", err)
	}
	if len(open) == 0 {
		open = settings.InUse(before)
	}
	for _, o := range open {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		g, err := compareGates(before, after, e, o)
		if err != nil {
			return nil, err
		}
		out.Settings = append(out.Settings, g)
	}
	return out, nil
}

func compareGates(before, after *airflow.Model, e *Edit, o readings.Open) (Gates, error) {
	out := Gates{Open: o}
	a, err := solvedWith(before, nil, o)
	if err != nil {
		return out, err
	}
	b, err := solvedWith(after, e.Coefs, o)
	if err != nil {
		return out, fmt.Errorf("with these changes: %w", err)
	}
	add := func(what, where string, q units.Quantity, p, r airflow.Probe, least float64) {
		out.Rows = append(out.Rows, Row{what, where, q, a.Value(p), b.Value(r), least})
	}
	both := func(what, point string, q units.Quantity, least float64) {
		p, err1 := before.ProbeAt(point, q)
		r, err2 := after.ProbeAt(point, q)
		if err1 == nil && err2 == nil {
			add(what, point, q, p, r, least)
		}
	}
	cfg, _ := before.Configure(o.All, o.Gates, nil)
	on := make([]bool, len(before.Sys.Ducts))
	for i, ok := range route.Reach(before, cfg) {
		if !ok {
			continue
		}
		both("port", before.Sys.Ports[i].ID, units.FlowRate, after.Sys.Ports[i].Need)
		for d := before.Sys.Ports[i].Duct; d >= 0; d = before.Sys.Ducts[d].Into {
			on[d] = true
		}
	}
	taps := on
	if !anyOf(on) { // only what seeps moves; the suction stands as far as the shut gates
		taps = live(before, cfg)
	}
	convey, trunk := handbook.ConveyOf(before.Sys), route.Trunks(before.Sys)
	for d := range on {
		if !on[d] {
			continue
		}
		least := convey.Branch
		if trunk[d] {
			least = convey.Main
		}
		add("duct", before.Sys.Ducts[d].ID, units.MeanVelocity, before.ProbeDuct(d, units.MeanVelocity), after.ProbeDuct(d, units.MeanVelocity), least)
	}
	for d := range taps {
		if !taps[d] {
			continue
		}
		for _, t := range before.Sys.Ducts[d].Taps {
			both("tap", t.ID, units.StaticPressure, 0)
		}
	}
	both("collector", airflow.CollectorInlet, units.StaticPressure, 0)
	both("collector", airflow.CollectorInlet, units.FlowRate, 0)
	both("collector", airflow.FilterPoint, units.PressureDrop, 0)
	return out, nil
}

func anyOf(list []bool) bool {
	for _, x := range list {
		if x {
			return true
		}
	}
	return false
}

// live says which ducts no shut gate cuts off from the collector.
func live(m *airflow.Model, c airflow.Config) []bool {
	out := make([]bool, len(m.Sys.Ducts))
	for i := range out {
		out[i] = true
		for d := m.Sys.Ducts[i].Into; d >= 0; d = m.Sys.Ducts[d].Into {
			if k, ok := m.GateIndex(m.Sys.Ducts[d].Gate); ok && !c.Open[k] {
				out[i] = false
			}
		}
	}
	return out
}

func solvedWith(m *airflow.Model, change func(*airflow.Model, *airflow.Coefs), o readings.Open) (*airflow.State, error) {
	cfg, err := m.Configure(o.All, o.Gates, nil)
	if err != nil {
		return nil, err
	}
	st, c := m.NewState(), m.Coefs()
	if change != nil {
		change(m, &c)
	}
	if err := st.Solve(&c, cfg); err != nil {
		return nil, fmt.Errorf("%s: with %s open: %w", m.Sys.File, o, err)
	}
	return st, nil
}
