package trial

import (
	"fmt"
	"math"
	"slices"

	"lostair/diagnose/duct"
	"lostair/diagnose/trial/internal/dice"
	"lostair/diagnose/trial/plant"
	"lostair/diagnose/trial/survey"
	"lostair/readings"
)

// Ways in which an install differs from its page. A leak, a gate half shut and a
// slow fan are kinds of fault.
const (
	Smaller   = "smaller"    // a duct a size down
	Larger    = "larger"     // a duct a size up
	Longer    = "longer"     // a duct by 3 to 5 m
	ExtraBend = "extra bend" // a bend more, of K 0.6 to 1.2
)

// Deviations are all ways, those of a fault among them.
func Deviations() []string {
	return []string{Smaller, Larger, Longer, ExtraBend, Leak, GateRestricted, FanWeak}
}

// Install is a plant just built, in what Differs lists otherwise than by its
// page, and read once.
type Install struct {
	System  *duct.System // the page
	Survey  *readings.Survey
	Differs []Difference
}

// Difference is one way in which an install is not as on its page.
type Difference struct {
	Kind, Where string
	SNR         float64 // how far it moves the readings, in standard deviations of what is left open
}

// NewInstall makes up an install that differs in these ways, a place each.
func NewInstall(seed uint64, ways []string, opt Options) (*Install, error) {
	opt.Sound, opt.Wrong, opt.Baseline = true, No, No
	o := opt.settle(seed)
	page := plant.New(seed, o.Ports, o.units)
	d := dice.New(seed, dice.StreamHistory+50)
	real, flaws := page.Copy(), []flaw(nil)
	out := &Install{System: page}
	var steps []func(s *duct.System)
	for _, way := range ways {
		step, f, where := deviate(d, page, way)
		if where == "" || slices.ContainsFunc(out.Differs, func(x Difference) bool { return x.Where == where }) {
			return nil, fmt.Errorf("trial: install %d: there is no place for %s", seed, way)
		}
		if f != nil {
			flaws = append(flaws, *f)
		} else {
			step(real)
			steps = append(steps, step)
		}
		out.Differs = append(out.Differs, Difference{Kind: way, Where: where})
	}
	b := build(plant.MustLoad(real), o, seed, cutsOf(flaws))
	b.page = page
	w := newWorld(b, day{seed: seed, stream: dice.StreamSurvey, flaws: flaws})
	rows := survey.Plan(page, o.Style, seed, o.Readings)
	c := &Case{Seed: seed, System: page, built: b, world: w, flaws: flaws}
	if err := out.see(o, seed, flaws, steps, rows); err != nil {
		return nil, c.failed(err)
	}
	if err := c.take(dice.New(seed, dice.StreamSurvey+100), w, rows); err != nil {
		return nil, c.failed(err)
	}
	out.Survey = survey.Load(survey.CSV(rows, "2025-06-10"), "survey.csv", page.Units)
	return out, nil
}

// deviate draws a difference: what it changes in the system as built, or a fault.
func deviate(d dice.Dice, s *duct.System, way string) (step func(s *duct.System), f *flaw, where string) {
	switch way {
	case Leak, GateRestricted, FanWeak:
		x, ok := drawFlaw(d, s, way)
		if !ok || x.where == "bin" {
			return nil, nil, ""
		}
		if way == GateRestricted {
			x.size = d.Between(0.35, 0.6)
		}
		if way == FanWeak { // a sound fan may be some per cent off
			x.size = d.Between(0.8, 0.9)
		}
		return nil, &x, x.where
	case ExtraBend:
		x := flaw{kind: moreLoss, port: -1, gate: -1, make: 1}
		x.inDuct(d, s)
		x.size = d.Between(0.6, 1.2)
		return nil, &x, x.where
	}
	i := d.IntN(len(s.Ducts))
	t := s.Ducts[i]
	switch way {
	case Longer:
		more := d.Between(3, 5)
		return func(s *duct.System) { s.Ducts[i].Length += more }, nil, t.ID
	case Smaller, Larger:
		to := nextSize(t.Diameter, way == Larger)
		return func(s *duct.System) { s.Ducts[i].Diameter = to }, nil, t.ID
	}
	panic("trial: no way " + way)
}

// nextSize is the size next to a diameter, as metric duct is sold.
func nextSize(d float64, up bool) float64 {
	sizes := []float64{0.063, 0.080, 0.100, 0.125, 0.140, 0.160, 0.180, 0.200, 0.224, 0.250, 0.280, 0.315, 0.355, 0.400, 0.450, 0.500, 0.560, 0.630, 0.710, 0.800}
	best := math.NaN()
	for _, s := range sizes {
		if up && s > 1.08*d && math.IsNaN(best) || !up && s < d/1.08 {
			best = s
		}
	}
	if math.IsNaN(best) {
		return d * 0.8
	}
	return best
}

// see works out how far each difference moves the readings.
func (x *Install) see(o settled, seed uint64, flaws []flaw, steps []func(*duct.System), rows []survey.Row) error {
	sound := build(x.System, o, seed, cutsOf(flaws))
	w := newWorld(sound, day{seed: seed, stream: dice.StreamSurvey})
	open, err := leftOpen(sound, sheet{w, rows})
	if err != nil {
		return err
	}
	base, err := nominal(x.System, nil, flaws, rows)
	if err != nil {
		return err
	}
	fi, si := 0, 0
	for i := range x.Differs {
		sys, list := x.System, []flaw(nil)
		switch x.Differs[i].Kind {
		case Leak, GateRestricted, FanWeak, ExtraBend:
			list = flaws[fi : fi+1]
			fi++
		default:
			sys = x.System.Copy()
			steps[si](sys)
			si++
		}
		now, err := nominal(sys, list, flaws, rows)
		if err != nil {
			return err
		}
		for k := range now {
			now[k] -= base[k]
		}
		x.Differs[i].SNR, _ = open.of(now)
	}
	return nil
}

// nominal are the readings of a system free of error and exactly as on a page.
func nominal(s *duct.System, faults, cuts []flaw, rows []survey.Row) ([]float64, error) {
	b := &built{page: s, sys: plant.MustLoad(s).Copy(), tap: map[string]tapError{}}
	b.cut(cutsOf(cuts))
	m := plant.MustModel(b.sys, settled{}.air)
	w := &world{b: b, m: m, c: m.Coefs(), s: m.NewState()}
	for i := range faults {
		faults[i].apply(&w.c, m)
	}
	return values(w, rows)
}
