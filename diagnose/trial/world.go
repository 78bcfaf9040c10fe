package trial

import (
	"fmt"
	"math"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/diagnose/handbook"
	"lostair/diagnose/trial/internal/dice"
	"lostair/diagnose/trial/plant"
	"lostair/diagnose/trial/survey"
	"lostair/readings"
	"lostair/readings/units"
)

// world is the true plant on the day of one survey: that day's air and filter,
// its faults, and the errors that the instruments keep through the day.
type world struct {
	b       *built
	m       *airflow.Model
	c       airflow.Coefs
	s       *airflow.State
	lasting map[string]float64 // by instrument: standard normal
	offset  map[string]float64 // by instrument, in sigmas of its floor
	solved  string             // configuration that the state holds
	meters  [3]plant.Meter     // pressure, fine pressure, velocity
	filter  float64            // state of the day
	density float64            // as on the page
}

// day says what of a survey differs from other surveys of the same plant.
type day struct {
	seed, stream uint64
	flaws        []flaw
	filter       float64 // multiple of the filter's loss beyond its state of the day
}

func newWorld(b *built, y day) *world {
	d := dice.New(y.seed, y.stream)
	w := &world{b: b, lasting: map[string]float64{}, offset: map[string]float64{}}
	u := b.opt.Spread
	page := plant.MustModel(b.page, airflow.Options{})
	w.density = page.Air.Density
	sys := *b.sys
	a := &sys.Air
	a.Standard = false
	if a.Barometer == 0 {
		a.Barometer = handbook.Barometer(a.Altitude)
	}
	a.Temperature += 3 * u * d.NormFloat64()
	a.Barometer *= 1 + 0.007*d.NormFloat64()
	a.Humidity = min(max(a.Humidity+0.15*d.NormFloat64(), 0.05), 0.98)
	w.m = plant.MustModel(&sys, b.opt.air)
	w.s = w.m.NewState()
	w.filter = d.Factor(filterOfDay * b.filterSpread())
	w.setFlaws(y.flaws, y.filter)
	w.meters[0], w.meters[1], w.meters[2] = plant.Meters(b.page)
	for _, x := range w.meters {
		z, o := d.NormFloat64(), b.opt.ZeroError*d.NormFloat64()
		if _, ok := w.lasting[x.ID+dimKey(x)]; !ok {
			w.lasting[x.ID+dimKey(x)] = z
			w.offset[x.ID+dimKey(x)] = o
		}
	}
	return w
}

// dimKey keeps the nameless manometer apart from the nameless anemometer.
func dimKey(x plant.Meter) string {
	if x.ID != "" {
		return ""
	}
	return x.Dim.String()
}

// setFlaws gives the plant other faults.
func (w *world) setFlaws(list []flaw, filter float64) {
	w.c = w.b.coefs(w.m)
	w.c.Filter *= w.filter
	if filter > 0 {
		w.c.Filter *= filter
	}
	for i := range list {
		list[i].apply(&w.c, w.m)
	}
	w.solved = ""
}

// at solves for the configuration of a row, unless it is the last one solved.
func (w *world) at(open readings.Open, hoseOff []string) error {
	key := open.String() + "|" + strings.Join(hoseOff, "+")
	if key == w.solved {
		return nil
	}
	cfg, err := w.m.Configure(open.All, open.Gates, hoseOff)
	if err != nil {
		return err
	}
	w.solved = ""
	// Each configuration is solved afresh, so that the bytes don't depend on
	// what was asked before.
	w.s = w.m.NewState()
	if err := w.s.Solve(&w.c, cfg); err != nil {
		return err
	}
	w.solved = key
	return nil
}

// truth is what an instrument free of error would show for a row, with the
// sign and in the quantity of the row, and the bore by which its error scales.
func (w *world) truth(r *survey.Row) (y, per float64, err error) {
	if err := w.at(r.Open, r.HoseOff); err != nil {
		return 0, 1, err
	}
	q, per := r.Quantity, 1.0
	if q == units.FlowRate { // a velocity, times the bore on the page
		q = units.MeanVelocity
	}
	p, err := w.m.ProbeAt(r.Point, q)
	if err != nil {
		return 0, 1, err
	}
	if r.Position == 0 {
		p = p.OnAxis()
	}
	y = w.s.Value(p)
	e := w.b.tap[r.Point]
	switch r.Quantity {
	case units.StaticPressure:
		y += e.bias * w.s.VelocityPressure(p)
	case units.Suction:
		y -= e.bias * w.s.VelocityPressure(p)
	case units.CentreVelocity:
		y *= 1 + e.axis
	case units.VelocityPressure:
		if r.Position == 0 {
			y *= (1 + e.axis) * (1 + e.axis)
		} else {
			f := profile(r.Position, r.Positions, e.skew)
			y *= f * f
		}
	case units.FlowRate:
		per = w.pageBore(r.Point)
		y *= per
	}
	return y, per, nil
}

// pageBore is the bore at a point as the page has it.
func (w *world) pageBore(point string) float64 {
	s := w.b.page
	if d, _, ok := s.TapAt(point); ok {
		return plant.Bore(s.Ducts[d].Diameter)
	}
	if p, ok := s.PortNamed(point); ok {
		return plant.Bore(s.Ducts[s.Ports[p].Duct].Diameter)
	}
	return plant.Bore(s.Collector.Inlet)
}

// profile is the velocity over its mean at a position of n across the duct,
// centres of equal areas, in a developed flow that leans to one side.
func profile(position, n int, skew float64) float64 {
	shape := func(k int) float64 {
		half := n / 2
		x, side := 0, -1.0
		if k <= half {
			x = half - k + 1
		} else {
			x, side = k-half, 1
		}
		r := math.Sqrt((2*float64(x) - 1) / (2 * float64(half)))
		return math.Pow(1-r*0.999, 1.0/7) * (1 + side*r*skew)
	}
	var sum float64
	for k := 1; k <= n; k++ {
		sum += shape(k)
	}
	return shape(position) / sum * float64(n)
}

// show is what the instrument shows for the truth y: its lasting error, its
// offset, and a fresh error from d. Written down it is rounded later.
func (w *world) show(d dice.Dice, r *survey.Row, y, per float64) float64 {
	sd := r.Meter.Sigma(y, per) * w.b.opt.Misjudged
	z := d.NormFloat64()
	if d.Chance(w.b.opt.HeavyTails) {
		z *= 3
	}
	key := r.Meter.ID + dimKey(r.Meter)
	out := y + math.Copysign(sd/math.Sqrt2, y)*w.lasting[key] + sd/math.Sqrt2*z
	if r.Meter.Dim == units.Pressure {
		// An offset shifts all gauge pressures the same way.
		o := w.offset[key] * r.Meter.Floor / plant.Normal95
		if r.Quantity == units.Suction {
			o = -o
		}
		out += o
	}
	if r.Quantity == units.VelocityPressure || r.Quantity == units.MeanVelocity || r.Quantity == units.CentreVelocity {
		out = max(out, 0)
	}
	return out
}

// flows gives the true flow of each connected port in a configuration, hoses on.
func (w *world) flows(open readings.Open) (map[string]float64, error) {
	if err := w.at(open, nil); err != nil {
		return nil, fmt.Errorf("%s: %w", open, err)
	}
	out := map[string]float64{}
	for i, p := range w.b.page.Ports {
		if plant.Connected(w.b.page, i, open) {
			out[p.ID] = w.s.PortFlow(i)
		}
	}
	return out, nil
}
