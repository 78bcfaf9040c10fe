package whatif

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sort"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/settings"
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

// Setting is one change.
type Setting struct {
	Key           string // as it is written: "planer-drop.diameter", "filter"
	Before, After Amount // Before is the zero Amount of what the file doesn't have
}

// Amount is what something is set to: a name, such as a material's, or an amount,
// which whoever shows it puts into the reader's units.
type Amount struct {
	Name      string // before an amount: what it is of
	SI        float64
	Dimension units.Dimension
	Measured  bool // there is an amount
}

func called(name string) Amount { return Amount{Name: name} }

func amountOf(si float64, d units.Dimension) Amount {
	return Amount{SI: si, Dimension: d, Measured: true}
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

// Keys lists the keys of a change, one a line, for help.
func Keys() []string {
	var out []string
	for _, k := range settables {
		out = append(out, fmt.Sprintf("%-20s %s", k.written, k.what))
	}
	return out
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
	for i, ok := range airflow.Reach(before, cfg) {
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
	convey, trunk := airflow.ConveyOf(before.Sys), airflow.Trunks(before.Sys)
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

// Edit is a system being changed, and what changes in its coefficients.
type Edit struct {
	Sys     *duct.System
	changes []func(*airflow.Model, *airflow.Coefs)
	holed   []int // ducts with a hole halfway along
}

// halve puts a tap halfway along each duct with a hole there, as the model has
// air come in at its taps and at the ends of ducts only. Lengths are what they
// will be.
func (e *Edit) halve() {
	for _, i := range e.holed {
		d := &e.Sys.Ducts[i]
		half := d.Length / 2
		if half > 0 && !slices.ContainsFunc(d.Taps, func(t duct.Tap) bool { return t.Distance == half }) {
			d.Taps = append(d.Taps, duct.Tap{ID: e.free("halfway-along-" + d.ID), Distance: half})
		}
	}
}

// free is an id like one, that no point of the system has.
func (e *Edit) free(id string) string {
	taken := func() bool {
		_, _, tap := e.Sys.TapAt(id)
		_, port := e.Sys.PortNamed(id)
		_, of := e.Sys.DuctNamed(id)
		return tap || port || of
	}
	for taken() {
		id += "-"
	}
	return id
}

func (e *Edit) Coefs(m *airflow.Model, c *airflow.Coefs) {
	for _, f := range e.changes {
		f(m, c)
	}
}

// shortly is so much of a text as a message has room for.
func shortly(text string) string {
	if r := []rune(text); len(r) > mostSaid {
		return string(r[:mostSaid]) + "…"
	}
	return text
}

// mostSaid is how many characters of a change a message repeats.
const mostSaid = 80

// Take makes one change, "key=value".
func (e *Edit) Take(text string) (Setting, *problem.Problem) {
	k, value, ok := strings.Cut(text, "=")
	k, value = strings.TrimSpace(k), strings.TrimSpace(value)
	wrong := func(what, do string) (Setting, *problem.Problem) {
		return Setting{}, &problem.Problem{File: e.Sys.File, What: fmt.Sprintf("--set %q: %s", shortly(text), what), Do: do}
	}
	if !ok || k == "" || value == "" {
		return wrong("a change is written as key=value", "such as 'filter=2x', 'ID.diameter=125 mm' or 'ID.diameter=5 in'")
	}
	id, name, dotted := cutLast(k)
	t := e.targetOf(id)
	if !dotted {
		id, name, t = "", k, whole
	}
	if dotted && t == 0 {
		do := "name a duct, a port, a gate, the bin, air or collector"
		if near, ok := problem.Nearest(id, e.names()); ok {
			do = fmt.Sprintf("did you mean %q?", near)
		}
		return wrong(fmt.Sprintf("there is no duct, port or gate %q", shortly(id)), do)
	}
	row := keyNamed(name, t)
	if row == nil {
		do := "known are " + strings.Join(keysOf(t), ", ")
		if near, ok := problem.Nearest(name, keysOf(t)); ok {
			do = fmt.Sprintf("did you mean %q?", near)
		} else if !dotted {
			do += "; of a duct, port or gate ID.KEY, see lostair whatif --help"
		}
		return wrong(fmt.Sprintf("%q can't be set", shortly(k)), do)
	}
	before, after, err := row.set(e, id, value)
	if err != nil {
		var u *units.Error
		if asUnitError(err, &u) {
			return wrong(u.What, u.Do)
		}
		var r refusal
		if errors.As(err, &r) {
			return wrong(r.what, r.do)
		}
		return wrong(err.Error(), "see lostair whatif --help")
	}
	return Setting{Key: k, Before: before, After: after}, nil
}

// refusal is why a change can't be made, and what to write.
type refusal struct{ what, do string }

func (r refusal) Error() string { return r.what + "; " + r.do }

func cutLast(s string) (before, after string, ok bool) {
	i := strings.LastIndex(s, ".")
	if i < 0 {
		return "", s, false
	}
	return s[:i], s[i+1:], true
}

// names are all ids that a change may name.
func (e *Edit) names() []string {
	out := []string{"air", "collector", readings.Bin}
	for _, d := range e.Sys.Ducts {
		out = append(out, d.ID)
	}
	for _, p := range e.Sys.Ports {
		out = append(out, p.ID)
	}
	for _, x := range e.Sys.Machines {
		out = append(out, x.ID)
	}
	out = append(out, e.Sys.Gates()...)
	sort.Strings(out)
	return out
}
