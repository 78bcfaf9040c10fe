package trial

import (
	"fmt"
	"math"
	"slices"
	"time"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/trial/internal/dice"
	"lostair/diagnose/trial/plant"
	"lostair/diagnose/trial/survey"
	"lostair/readings"
)

// Event is what happens to a plant over its surveys.
type Event uint8

const (
	Nothing       Event = iota
	GrowingLeak         // a hole opens and grows evenly, from survey At to the last
	LoadingFilter       // the filter loads evenly in the logarithm, from survey At to the last
	Reseal              // a leak that was there from the first is sealed before survey At
	Mend                // a fault of kind Kind that was there from the first is mended before survey At
)

// HistoryOptions shape a history. The zero ones are six ports, 20 surveys a
// week apart, and nothing that happens.
type HistoryOptions struct {
	Ports   int     // 0: 6
	Surveys int     // 0: 20
	Days    int     // between surveys; 0: 7
	Event   Event   // what happens
	At      int     // survey with which it begins, from 0
	Size    float64 // of the leak at its largest as share of the bore of the run at the collector (0: 0.05), of the filter as a multiple (0: 3)
	Where   string  // duct of the leak; "": the run at the collector
	Kind    string  // of Mend: kind of the fault, its place and severity by seed; "bin": a leak of the bin
	Stays   string  // kind of a further fault that is there from the first to the last; "": none
	Off     Options // how far the plant lies off its page
}

// History is one plant over time.
type History struct {
	System     *duct.System
	SystemYAML []byte
	Surveys    []Dated
	Mended     Fault // of Mend: what was mended; only kind, place and severity are filled in
}

// Dated is one survey of a history and what held on its day.
type Dated struct {
	Date   string
	CSV    []byte
	Survey *readings.Survey
	Leak   float64 // open area, m²
	Filter float64 // multiple of the sound filter's drop
	Flows  []Flows
	Alone  map[string]float64 // flow of each port with its own gates open only, m³/s
}

// NewHistory makes up a history: one plant, surveyed in the same way each
// time, with that day's air, filter and instrument errors.
func NewHistory(seed uint64, opt HistoryOptions) (*History, error) {
	opt = opt.filled()
	var f flaw
	var stays []flaw
	c, rows, err := overTime(seed, opt.Ports, opt.Off, func(s *duct.System, d dice.Dice) (all []flaw, err error) {
		f, stays, err = opt.flaws(s, d)
		return append([]flaw{f}, stays...), err
	})
	if err != nil {
		return nil, err
	}
	h := &History{System: c.System, SystemYAML: c.SystemYAML, Mended: Fault{Kind: f.kind, Where: f.where, Severity: f.size}}
	for k := range opt.Surveys {
		d, err := c.dated(k, opt, f, stays, slices.Clone(rows))
		if err != nil {
			return nil, fmt.Errorf("trial: history %d, survey %d: %w", seed, k, err)
		}
		h.Surveys = append(h.Surveys, d)
	}
	return h, nil
}

// overTime is a sound plant with places for what happens to it, and the readings of
// each of its surveys.
func overTime(seed uint64, ports int, o Options, happens func(*duct.System, dice.Dice) ([]flaw, error)) (*Case, []survey.Row, error) {
	o.Ports, o.Sound, o.Wrong = ports, true, No
	if o.Style == "" {
		o.Style = survey.Normal
	}
	set := o.settle(seed)
	sys := plant.New(seed, set.Ports, set.units)
	flaws, err := happens(sys, dice.New(seed, dice.StreamHistory))
	if err != nil {
		return nil, nil, err
	}
	c := &Case{Seed: seed, System: sys, SystemYAML: systemfile.Marshal(sys), built: build(sys, set, seed, cutsOf(flaws))}
	c.Truth.Gates = sys.Gates()
	return c, survey.Plan(sys, set.Style, seed, set.Readings), nil
}

// dateOf is the date of survey k, so many days apart.
func dateOf(k, days int) string {
	return time.Date(2022, time.January, 10, 0, 0, 0, 0, time.UTC).AddDate(0, 0, k*days).Format(time.DateOnly)
}

func (o HistoryOptions) filled() HistoryOptions {
	if o.Ports == 0 {
		o.Ports = 6
	}
	if o.Surveys == 0 {
		o.Surveys = 20
	}
	if o.Days == 0 {
		o.Days = 7
	}
	if o.Size == 0 {
		o.Size = 0.05
		if o.Event == LoadingFilter {
			o.Size = 3
		}
	}
	return o
}

// flaws are what happens, at its largest, and what is there all the time.
func (o HistoryOptions) flaws(s *duct.System, d dice.Dice) (f flaw, stays []flaw, err error) {
	if o.Event != Mend {
		f, err = o.leak(s, d)
		return f, nil, err
	}
	f, ok := flaw{kind: Leak, where: "bin", duct: -1, port: -1, gate: -1, make: 1}, s.Collector.Bin
	if o.Kind == "bin" {
		f.size = min(max(0.05*d.Factor(0.8), 0.01), 0.4) * plant.Bore(s.Collector.Inlet)
	} else if f, ok = drawFlaw(d, s, o.Kind); f.where == "bin" {
		f.inDuct(d, s)
		f.size = min(f.size, 0.4*plant.Bore(s.Ducts[f.duct].Diameter))
	}
	if !ok {
		return f, nil, fmt.Errorf("trial: history: there is no place for %s", o.Kind)
	}
	for k := 0; k < 8 && o.Stays != ""; k++ {
		if g, ok := drawFlaw(d, s, o.Stays); ok && !clash([]flaw{f}, g) {
			return f, []flaw{g}, nil
		}
	}
	return f, nil, nil
}

// leak is the hole at its largest.
func (o HistoryOptions) leak(s *duct.System, d dice.Dice) (flaw, error) {
	f := flaw{kind: Leak, duct: 0, port: -1, gate: -1, along: d.Between(0.1, 0.9), make: 1}
	if o.Where != "" {
		i, ok := s.DuctNamed(o.Where)
		if !ok {
			return f, fmt.Errorf("trial: history: there is no duct %q", o.Where)
		}
		f.duct = i
	}
	f.where = s.Ducts[f.duct].ID
	f.at = f.along * s.Ducts[f.duct].Length
	f.size = o.Size * plant.Bore(s.Ducts[0].Diameter)
	return f, nil
}

// grown is how far the event has come at survey k, from 0 to 1.
func (o HistoryOptions) grown(k int) float64 {
	switch {
	case (o.Event == Reseal || o.Event == Mend) && k < o.At:
		return 1
	case o.Event == Reseal || o.Event == Mend || o.Event == Nothing || k < o.At:
		return 0
	}
	return float64(k-o.At+1) / float64(o.Surveys-o.At)
}

// alone gives each port's true flow with its own gates open only.
func (w *world) alone() (map[string]float64, error) {
	out := map[string]float64{}
	for i, p := range w.b.page.Ports {
		open := readings.Open{}
		for d := p.Duct; d >= 0; d = w.b.page.Ducts[d].Into {
			if g := w.b.page.Ducts[d].Gate; g != "" {
				open.Gates = append(open.Gates, g)
			}
		}
		if err := w.at(open, nil); err != nil {
			return nil, fmt.Errorf("port %s alone: %w", p.ID, err)
		}
		out[p.ID] = w.s.PortFlow(i)
	}
	return out, nil
}

func (c *Case) dated(k int, o HistoryOptions, f flaw, stays []flaw, rows []survey.Row) (Dated, error) {
	out := Dated{Date: dateOf(k, o.Days), Filter: 1}
	y := day{seed: c.Seed, stream: dice.StreamHistory + 1000 + 2*uint64(k), flaws: slices.Clone(stays)}
	switch g := o.grown(k); {
	case o.Event == LoadingFilter:
		out.Filter = math.Pow(o.Size, g)
		y.filter = out.Filter
	case g > 0 && o.Event == Mend:
		y.flaws = append(y.flaws, f)
	case g > 0:
		f.size *= g
		out.Leak = f.size
		y.flaws = append(y.flaws, f)
	}
	d, err := c.read(y, rows, out.Date)
	d.Leak, d.Filter = out.Leak, out.Filter
	return d, err
}

// read is a survey of such a day.
func (c *Case) read(y day, rows []survey.Row, date string) (Dated, error) {
	out := Dated{Date: date, Filter: 1}
	c.world = newWorld(c.built, y)
	if err := c.take(dice.New(c.Seed, y.stream+1), c.world, rows); err != nil {
		return out, err
	}
	c.Truth.Flows = nil
	if err := c.listFlows(rows); err != nil {
		return out, err
	}
	out.Flows = c.Truth.Flows
	var err error
	if out.Alone, err = c.world.alone(); err != nil {
		return out, err
	}
	out.CSV = survey.CSV(rows, out.Date)
	out.Survey = survey.Load(out.CSV, out.Date+".csv", c.System.Units)
	return out, nil
}
