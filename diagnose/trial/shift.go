package trial

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/trial/plant"
	"lostair/diagnose/trial/survey"
	"lostair/readings/units"
)

// Spread of the day's air density, as drawn in newWorld: 3 K and 0.7 %.
const densitySpread = 0.0125

// Spread of a static reading by its tap, share of the velocity pressure: its
// bias, and the friction over the distance by which it sits elsewhere.
const tapSpread = 0.023

// open is what is left open about the readings of a survey and its baselines:
// their joint covariance under as-built variation and instruments, the plant
// being sound, to first order.
type open struct {
	chol mat.Cholesky
	sd   []float64 // of each reading by itself
	n    int       // rows of the survey; those of the baselines follow
	ok   bool
}

// sheet is a survey with the world that it was taken in.
type sheet struct {
	w    *world
	rows []survey.Row
}

// leftOpen computes the covariance; flaws are taken out of the worlds for it
// and put back.
func leftOpen(b *built, sheets ...sheet) (*open, error) {
	o := &open{n: len(sheets[0].rows)}
	total := 0
	for _, s := range sheets {
		total += len(s.rows)
	}
	if b.opt.Quick {
		return o, o.instruments(b, sheets[0])
	}
	x := newSpreader(b, total, sheets)
	for i, s := range sheets {
		if err := x.survey(i, s); err != nil {
			return nil, err
		}
	}
	return o, o.factor(x)
}

// instruments leaves only the instruments' errors open.
func (o *open) instruments(b *built, s sheet) error {
	for i := range s.rows {
		y, per, err := s.w.truth(&s.rows[i])
		if err != nil {
			return err
		}
		o.sd = append(o.sd, s.rows[i].Meter.Sigma(y, per)*b.opt.Misjudged)
	}
	return nil
}

// spreader fills the readings' derivatives by all that varies.
type spreader struct {
	b     *built
	j     *mat.Dense // readings × variations, each of standard deviation 1
	fresh []float64  // variance that is each reading's own
	at    int        // next row
	own   int        // first column of the surveys' own variations
	each  int        // columns of a survey
	taps  map[string]int
	homes map[int32]int // duct → column of where its bends stand
}

func newSpreader(b *built, rows int, sheets []sheet) *spreader {
	x := &spreader{b: b, fresh: make([]float64, rows), taps: map[string]int{}}
	col := len(b.param)
	for _, s := range sheets {
		for i := range s.rows {
			if _, ok := x.taps[s.rows[i].Point]; !ok {
				x.taps[s.rows[i].Point] = col
				col += 2 // its static's bias, its profile
			}
		}
	}
	x.homes = map[int32]int{}
	for i := range b.parts {
		if p := &b.parts[i]; p.strays() {
			if _, ok := x.homes[p.duct]; !ok {
				x.homes[p.duct] = col
				col++
			}
		}
	}
	x.own, x.each = col, 2+2*3 // filter, density; lasting and offset of three meters
	x.j = mat.NewDense(rows, col+x.each*len(sheets), nil)
	return x
}

func (x *spreader) survey(k int, s sheet) error {
	g := s.w.m.NewGradient()
	col := x.own + k*x.each
	ready := ""
	for i := range s.rows {
		r := &s.rows[i]
		y, per, err := s.w.truth(r)
		if err != nil {
			return err
		}
		if s.w.solved != ready {
			ready = s.w.solved
			s.w.s.Prepare()
		}
		if err := x.reading(s.w, r, g, y, per, col); err != nil {
			return err
		}
		x.at++
	}
	return nil
}

func (x *spreader) reading(w *world, r *survey.Row, g *airflow.Gradient, y, per float64, own int) error {
	q := r.Quantity
	if q == units.FlowRate {
		q = units.MeanVelocity
	}
	p, err := w.m.ProbeAt(r.Point, q)
	if err != nil {
		return err
	}
	w.s.Sensitivity(p, g)
	scale := per
	if v := w.s.Value(p); r.Quantity == units.VelocityPressure && v != 0 {
		scale = y / v
	}
	set := func(col int, v float64) { x.j.Set(x.at, col, x.j.At(x.at, col)+v) }
	for i := range x.b.parts {
		part := &x.b.parts[i]
		d := *part.slot.Of(&g.Coefs) * scale
		if d == 0 {
			continue
		}
		if part.strays() { // as much as it does is taken for one standard deviation
			set(x.homes[part.duct], d*(part.base-part.page))
		}
		_, slope := x.b.value(part)
		if part.slot.Kind == airflow.SlotFilter {
			slope *= w.filter
		}
		for k, ix := range part.ix {
			if ix >= 0 {
				set(int(ix), d*slope*x.wider(part.sd[k]))
			}
		}
	}
	set(own, g.Filter*scale*w.c.Filter*filterOfDay*x.b.filterSpread())
	x.atPoint(w, r, p, y, own)
	x.instrument(w, r, y, per, own)
	return nil
}

// strays is whether a part's losses stand elsewhere than spread over the duct.
func (p *builtPart) strays() bool {
	return (p.what == airflow.Bends || p.what == airflow.FreeLoss) && math.Abs(p.base-p.page) > 1e-12
}

// wider is a part's spread with those included that lie off beyond it.
func (x *spreader) wider(sd float64) float64 {
	return math.Sqrt(sd*sd + x.b.opt.Off*0.22)
}

// atPoint adds what the tap and the day's air do.
func (x *spreader) atPoint(w *world, r *survey.Row, p airflow.Probe, y float64, own int) {
	u := x.b.opt.Spread
	col := x.taps[r.Point]
	switch r.Quantity {
	case units.StaticPressure, units.Suction:
		if _, ok := x.b.tap[r.Point]; ok {
			x.j.Set(x.at, col, tapSpread*u*w.s.VelocityPressure(p))
		}
		x.j.Set(x.at, own+1, densitySpread*y)
	case units.CentreVelocity:
		x.j.Set(x.at, col+1, 0.02*u*y)
	case units.VelocityPressure:
		x.j.Set(x.at, col+1, 0.04*u*y)
		x.j.Set(x.at, own+1, densitySpread*y)
	}
}

func (x *spreader) instrument(w *world, r *survey.Row, y, per float64, own int) {
	k := 0
	for i, m := range w.meters {
		if m.ID == r.Meter.ID && m.Dim == r.Meter.Dim {
			k = i
			break
		}
	}
	sd := r.Meter.Sigma(y, per) * x.b.opt.Misjudged
	x.j.Set(x.at, own+2+2*k, math.Copysign(sd/math.Sqrt2, y))
	if r.Meter.Dim == units.Pressure {
		sign := 1.0
		if r.Quantity == units.Suction {
			sign = -1
		}
		x.j.Set(x.at, own+3+2*k, sign*x.b.opt.ZeroError*r.Meter.Floor/plant.Normal95)
	}
	st := r.Step(r.UnitOf(w.b.page))
	u, _ := units.ParseIn(survey.Written(st, st), r.Quantity.Dimension(), r.UnitOf(w.b.page))
	x.fresh[x.at] = sd*sd/2*(1+8*x.b.opt.HeavyTails) + u.SI*u.SI/12
}

// factor turns derivatives into a covariance and factorises it.
func (o *open) factor(x *spreader) error {
	n := len(x.fresh)
	var c mat.SymDense
	c.SymOuterK(1, x.j)
	o.sd = make([]float64, n)
	for i := range n {
		v := c.At(i, i) + x.fresh[i]
		c.SetSym(i, i, v*(1+1e-9)+1e-12)
		o.sd[i] = math.Sqrt(v)
	}
	o.ok = o.chol.Factorize(&c)
	return nil
}

// of gives how far a shift of the survey's readings lies out: as a whole, the
// baseline given, and the largest single one by its own standard deviation.
func (o *open) of(shift []float64) (snr, most float64) {
	for i, s := range shift {
		if o.sd[i] > 0 {
			most = max(most, math.Abs(s)/o.sd[i])
		}
	}
	if !o.ok {
		return most, most
	}
	v := mat.NewVecDense(len(o.sd), nil)
	for i, s := range shift {
		v.SetVec(i, s)
	}
	var z mat.VecDense
	if o.chol.SolveVecTo(&z, v) != nil {
		return most, most
	}
	return math.Sqrt(max(mat.Dot(v, &z), 0)), most
}
