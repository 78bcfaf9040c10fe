package trial

import (
	"fmt"
	"math"
	"slices"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/trial/internal/dice"
	"lostair/diagnose/trial/plant"
	"lostair/diagnose/trial/survey"
	"lostair/readings"
	"lostair/readings/units"
)

// Case is a plant, a survey of it, in half of the cases an earlier survey from
// when it was sound, and the truth.
type Case struct {
	Seed      uint64
	System    *duct.System
	Survey    *readings.Survey
	Baselines []*readings.Survey // none or one
	Truth     Truth

	// The files as a user would give them.
	SystemYAML, SurveyCSV []byte
	BaselineCSV           []byte // nil: none

	built *built
	world *world
	flaws []flaw
	date  string
}

// NewCase makes up a case. The result depends on seed and options alone. An
// error says that the true plant could not be solved; another seed will do.
func NewCase(seed uint64, opt Options) (*Case, error) {
	o := opt.settle(seed)
	return newCase(seed, o, plant.New(seed, o.Ports, o.units))
}

// CaseOf makes up a case on a given system; Options.Ports and US have no
// meaning then.
func CaseOf(seed uint64, sys *duct.System, opt Options) (*Case, error) {
	o := opt.settle(seed)
	o.Ports, o.units = len(sys.Ports), sys.Units
	return newCase(seed, o, plant.MustLoad(sys))
}

// FaultyPlant is a large plant in metric units with a leak, a blockage and a
// loaded filter, and a rich survey of so many readings, no row of it wrong. It
// errs where CaseOf does.
func FaultyPlant(seed uint64, ports, readings int) (*Case, error) {
	return CaseOf(seed, plant.New(seed, ports, units.Metric), Options{Readings: readings, Style: survey.Rich,
		Kinds: []string{Leak, Blockage, FilterLoaded}, Baseline: No, Wrong: No, Join: MomentumLaw, Quick: true})
}

func newCase(seed uint64, o settled, sys *duct.System) (*Case, error) {
	c := &Case{Seed: seed, System: sys, SystemYAML: systemfile.Marshal(sys)}
	c.flaws = chooseFlaws(sys, o, seed)
	c.built = build(sys, o, seed, cutsOf(c.flaws))
	c.world = newWorld(c.built, day{seed: seed, stream: dice.StreamSurvey, flaws: c.flaws})
	c.Truth = Truth{Style: o.Style, Ports: len(sys.Ports), Gates: sys.Gates(), Units: sys.Units, Baseline: o.baseline}
	rows := survey.Plan(sys, o.Style, seed, o.Readings)
	sheets := []sheet{{c.world, rows}}
	var earlier *sheet
	if o.baseline {
		earlier = c.earlier(rows)
		sheets = append(sheets, *earlier)
	}
	if err := c.take(dice.New(seed, dice.StreamSurvey+100), c.world, rows); err != nil {
		return nil, c.failed(err)
	}
	if err := c.judge(rows, sheets); err != nil {
		return nil, c.failed(err)
	}
	c.date = fmt.Sprintf("%d-%02d-%02d", 2021+seed%5, 4+seed/5%8, 1+seed/40%28)
	c.SurveyCSV = survey.CSV(rows, c.date)
	c.Survey = survey.Load(c.SurveyCSV, "survey.csv", sys.Units)
	if earlier != nil {
		return c, c.addBaseline(earlier)
	}
	return c, nil
}

func (c *Case) failed(err error) error { return fmt.Errorf("trial: case %d: %w", c.Seed, err) }

// take reads all rows in a world.
func (c *Case) take(d dice.Dice, w *world, rows []survey.Row) error {
	for i := range rows {
		r := &rows[i]
		y, per, err := w.truth(r)
		if err != nil {
			return err
		}
		r.Put(c.System, w.show(d, r, y, per))
	}
	return nil
}

// earlier plans the baseline: the survey's rows, hoses on, some of them missing.
func (c *Case) earlier(rows []survey.Row) *sheet {
	d := dice.New(c.Seed, dice.StreamBaseline+200)
	keep := dice.Pick(d, 1.0, 1, 0.9, 0.75)
	var out []survey.Row
	for _, r := range rows {
		if u := d.Float64(); r.Note == "" && (u < keep || r.Position > 0) {
			out = append(out, r)
		}
	}
	if len(out) == 0 {
		out = append(out, rows[0])
	}
	w := newWorld(c.built, day{seed: c.Seed, stream: dice.StreamBaseline})
	return &sheet{w, out}
}

func (c *Case) addBaseline(s *sheet) error {
	if err := c.take(dice.New(c.Seed, dice.StreamBaseline+100), s.w, s.rows); err != nil {
		return c.failed(err)
	}
	date := fmt.Sprintf("%d-%02d-%02d", 2020+c.Seed%5, 2+c.Seed/7%9, 1+c.Seed/11%28)
	c.BaselineCSV = survey.CSV(s.rows, date)
	c.Baselines = []*readings.Survey{survey.Load(c.BaselineCSV, "baseline.csv", c.System.Units)}
	return nil
}

// judge fills the truth in, spoiling rows on the way.
func (c *Case) judge(rows []survey.Row, sheets []sheet) error {
	t := &c.Truth
	t.Readings = len(rows)
	if err := c.listFlows(rows); err != nil {
		return err
	}
	with, err := values(c.world, rows)
	if err != nil {
		return err
	}
	c.world.setFlaws(nil, 0)
	o, err := leftOpen(c.built, sheets...)
	if err != nil {
		return err
	}
	for i := range c.flaws {
		c.world.setFlaws(c.flaws, 0)
		f, err := c.weigh(i, rows, with, o)
		if err != nil {
			return err
		}
		t.Faults = append(t.Faults, f)
	}
	c.world.setFlaws(c.flaws, 0)
	if c.built.opt.wrong {
		if err := c.wrongRows(rows, o); err != nil {
			return err
		}
	}
	t.Sound = len(t.Faults) == 0
	t.Faults = append(t.Faults, undersized(c.world)...)
	c.world.setFlaws(c.flaws, 0)
	return nil
}

func (c *Case) wrongRows(rows []survey.Row, o *open) error {
	before := make([]float64, len(rows))
	for i := range rows {
		before[i] = rows[i].Value(c.System)
	}
	for _, f := range c.world.spoil(dice.New(c.Seed, dice.StreamWrong), rows) {
		var line int
		if _, err := fmt.Sscanf(f.Where, "row %d", &line); err != nil {
			return err
		}
		shift := make([]float64, len(rows))
		shift[line-2] = rows[line-2].Value(c.System) - before[line-2]
		f.SNR, f.MaxShift = o.of(shift)
		f.Observable = f.SNR >= 2
		c.Truth.Faults = append(c.Truth.Faults, f)
	}
	return nil
}

// weigh says what fault i does to the readings, the others staying.
func (c *Case) weigh(i int, rows []survey.Row, with []float64, o *open) (Fault, error) {
	f := &c.flaws[i]
	out := Fault{Kind: f.kind, Where: f.where, Severity: f.size, Along: -1}
	if f.duct >= 0 {
		out.Along = f.along
	}
	if f.kind == GateLeaking { // what a sound gate leaves open is part of the area left
		out.Severity = c.world.c.GateArea[f.gate]
	}
	rest := slices.Concat(c.flaws[:i], c.flaws[i+1:])
	c.world.setFlaws(rest, 0)
	without, err := values(c.world, rows)
	if err != nil {
		return out, err
	}
	shift := make([]float64, len(rows))
	for k := range shift {
		shift[k] = with[k] - without[k]
	}
	out.SNR, out.MaxShift = o.of(shift)
	out.Observable = out.SNR >= 2
	return out, nil
}

// values are the readings free of error.
func values(w *world, rows []survey.Row) ([]float64, error) {
	out := make([]float64, len(rows))
	for i := range rows {
		y, _, err := w.truth(&rows[i])
		if err != nil {
			return nil, err
		}
		if math.IsNaN(y) || math.IsInf(y, 0) {
			return nil, fmt.Errorf("%s at %s is no number", rows[i].Quantity, rows[i].Point)
		}
		out[i] = y
	}
	return out, nil
}

// listFlows notes the true flows in every configuration of the survey.
func (c *Case) listFlows(rows []survey.Row) error {
	seen := map[string]bool{}
	for i := range rows {
		o := rows[i].Open
		if seen[o.String()] {
			continue
		}
		seen[o.String()] = true
		q, err := c.world.flows(o)
		if err != nil {
			return err
		}
		f := Flows{Open: o}
		for _, g := range c.Truth.Gates {
			if o.Opens(g) {
				f.Gates = append(f.Gates, g)
			}
		}
		for _, p := range c.System.Ports {
			if v, ok := q[p.ID]; ok {
				f.Ports, f.Flow = append(f.Ports, p.ID), append(f.Flow, v)
			}
		}
		c.Truth.Flows = append(c.Truth.Flows, f)
	}
	return nil
}
