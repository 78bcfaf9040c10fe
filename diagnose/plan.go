package diagnose

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/units"
)

// Stop is one reading of a round, with what it should show in a sound system.
type Stop struct {
	Open     readings.Open
	Point    string
	Quantity units.Quantity
	Expected Interval // SI, 90 % for a sound system as built somewhere near its page
	Minutes  float64
}

// Shown is the smallest fault of a kind that a round would show: at the place
// where it shows best, at the usual place (the median), and how many of the
// places it would be missed at however bad it is.
type Shown struct {
	Kind        Kind
	Best, Usual float64 // severity, SI; 0: not shown
	BestAt      string
	Blind       int // places at which the round shows nothing of this kind
	Places      int
}

// Round is a plan: which readings to take, in order.
type Round struct {
	System  *duct.System
	Stops   []Stop
	Shows   []Shown
	Minutes float64
}

// shownAt is how many standard deviations a fault must move the readings to count as shown.
const shownAt = 3.0

// Plan chooses the n readings that tell most about faults for the time they
// take. surveys are readings there already, of a system taken to be sound;
// the plan then adds what they leave open.
func Plan(ctx context.Context, sys *duct.System, surveys []*readings.Survey, n int) (*Round, error) {
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	pl, err := newPlanner(ctx, m, surveys)
	if err != nil {
		return nil, err
	}
	if err := pl.gather(); err != nil {
		return nil, err
	}
	r := &Round{System: sys}
	for range n {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if !pl.pick() {
			break
		}
	}
	r.Stops = pl.stops()
	for _, s := range r.Stops {
		r.Minutes += s.Minutes
	}
	r.Shows = pl.shows()
	return r, nil
}

// planner holds the readings that could be taken and what is known of each
// given those picked so far: an incremental Cholesky factorisation.
type planner struct {
	s      *study
	sites  []*site
	offers []offer
	adds   [][]slope // by site, what a typical fault adds to the coefficients
	most   int       // offers that are weighed against each other
	snr2   []float64 // by site, of those picked
	picked []int
	opened map[string]bool
}

// offer is a reading that could be taken.
type offer struct {
	stop  Stop
	key   string // of its configuration
	order int    // where its configuration comes on the walk
	j     *mat.VecDense
	v     float64   // variance given those picked, error included
	fresh float64   // its error that is fresh, 1 sigma
	d     []float64 // by site: what a typical fault would change, given those picked
	l     []float64 // its row of the factor
	taken bool
}

func newPlanner(ctx context.Context, m *airflow.Model, surveys []*readings.Survey) (*planner, error) {
	u := newUnknowns(m)
	var bounds []*bound
	for _, sv := range surveys {
		b, bad := bindTrusted(m, sv)
		if err := bad.Err(); err != nil {
			return nil, err
		}
		bounds = append(bounds, b)
	}
	l := newLayout(u, bounds...)
	shared, err := learnAll(ctx, m, u, l, bounds)
	if err != nil {
		return nil, err
	}
	return plannerOf(m, u, l, shared), nil
}

// plannerOf starts from what is known of the system already.
func plannerOf(m *airflow.Model, u *unknowns, l layout, shared prior) *planner {
	empty := &bound{survey: &readings.Survey{}, gains: []string{"pressure", "velocity"}}
	ss := sites(m)
	return &planner{s: newStudy(m, u, l, empty, shared), sites: ss, most: mostOffers, snr2: make([]float64, len(ss)), opened: map[string]bool{}}
}

// sound sets the coefficients to what is known of the sound system.
func (pl *planner) sound() {
	pl.s.setCoefs(point{theta: pl.s.pr.mean}, nil)
	pl.adds = make([][]slope, len(pl.sites))
	for i, t := range pl.sites {
		pl.adds[i] = t.variants[0].deltas(&pl.s.coef)
	}
}

// gather works out every offer: its value, its sensitivities and what each fault would do to it.
func (pl *planner) gather() error {
	pl.sound()
	s := pl.s
	st := s.m.NewState()
	configs := pl.configs()
	most := max(pl.most/len(configs), fewestOffers)
	for k, c := range configs {
		if err := st.Solve(&s.coef, c.cfg); err != nil {
			return fmt.Errorf("with %s open: %w", c.open, err)
		}
		st.Prepare()
		var here []offer
		for _, sp := range pl.spots(c) {
			sd := s.newReadingSD(sp, st.Value(sp.probe)) / math.Sqrt2 // half of its variance lasts, half is fresh
			here = append(here, pl.offer(st, c, sp, k, sd, sd))
		}
		pl.foresee(here)
		if len(c.open.Gates) > 0 { // the others are few, and set once for all their readings
			here = pl.best(here, most)
		}
		pl.offers = append(pl.offers, here...)
	}
	return nil
}

// What a plan weighs against each other grows with the square of the plant, as
// each port's way is offered with that port alone open. Of a large plant only
// so many readings are, and in each configuration so many at least.
const mostOffers, fewestOffers = 2000, 4

// best are those n of the offers of one configuration that tell most for their
// time by themselves, in the order they came.
func (pl *planner) best(here []offer, n int) []offer {
	if len(here) <= n {
		return here
	}
	worth := make([]float64, len(here))
	for i := range here {
		worth[i] = pl.gain(&here[i]) / here[i].stop.Minutes
	}
	least := slices.Sorted(slices.Values(worth))[len(here)-n]
	out := make([]offer, 0, n)
	for i := range here {
		if worth[i] >= least {
			out = append(out, here[i])
		}
	}
	return out
}

// configs: all shut, each port's gates alone, all open; in the order of the file.
func (pl *planner) configs() []nextConfig {
	m := pl.s.m
	none, _ := m.Configure(false, nil, nil)
	out := []nextConfig{{cfg: none}}
	seen := map[string]bool{"none": true}
	for i := range m.Sys.Ports {
		o := aloneOpen(m, i)
		if seen[o.String()] {
			continue
		}
		seen[o.String()] = true
		c := nextConfig{cfg: alone(m, i), open: o}
		for k, ok := range reach(m, c.cfg) {
			if ok {
				c.ports = append(c.ports, k)
			}
		}
		out = append(out, c)
	}
	all, _ := m.Configure(true, nil, nil)
	return append(out, nextConfig{cfg: all, open: readings.Open{All: true}})
}

// spots that are worth offering in a configuration.
func (pl *planner) spots(c nextConfig) []spotToRead {
	m := pl.s.m
	var out []spotToRead
	add := func(point string, q units.Quantity, minutes float64) {
		if pr, err := m.ProbeAt(point, q); err == nil {
			out = append(out, spotToRead{point, q, pr, minutes})
		}
	}
	on := map[int]bool{}
	for _, p := range c.ports {
		add(m.Sys.Ports[p].ID, units.MeanVelocity, minutesMouth)
		for d := m.Sys.Ports[p].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
			on[d] = true
		}
	}
	for d := range m.Sys.Ducts {
		trunk := len(m.Sys.Ducts[d].Children) > 1
		if on[d] || trunk && (c.open.All || len(c.open.Gates) == 0) {
			for _, t := range m.Sys.Ducts[d].Taps {
				add(t.ID, units.StaticPressure, minutesTap)
			}
		}
	}
	hole := minutesTap
	if pl.tapped() { // a tap of the file does as well without a new hole
		hole = minutesHole
	} else {
		add(airflow.CollectorInlet, units.StaticPressure, minutesTap)
	}
	add(airflow.FanInlet, units.StaticPressure, hole)
	add(airflow.FilterPoint, units.PressureDrop, minutesTap)
	return out
}

// tapped says whether a duct that flows into the collector has a tap.
func (pl *planner) tapped() bool {
	return slices.ContainsFunc(pl.s.m.Sys.Ducts, func(d duct.Duct) bool { return d.Into < 0 && len(d.Taps) > 0 })
}

// offer is a reading with an error that lasts through the survey and one that
// is fresh, 1 sigma each; foresee says how well its value is known.
func (pl *planner) offer(st *airflow.State, c nextConfig, sp spotToRead, order int, lasting, fresh float64) offer {
	s := pl.s
	y := st.Value(sp.probe)
	st.Sensitivity(sp.probe, s.grad)
	row := make([]float64, s.n)
	s.u.row(s.grad, s.vals, row)
	gain := len(row) - 5 // the two instruments stand before filter, speed and day
	if sp.q.Dimension() == units.Velocity {
		gain++
	}
	row[gain] += lasting
	o := offer{stop: Stop{Open: c.open, Point: sp.point, Quantity: sp.q, Minutes: sp.minutes}, key: c.open.String(), order: order, d: make([]float64, len(pl.sites))}
	for i := range pl.sites {
		sum := 0.0
		for _, e := range pl.adds[i] {
			sum += *e.slot.Of(&s.grad.Coefs) * e.by
		}
		o.d[i] = sum
	}
	o.j, o.fresh, o.stop.Expected.Value = mat.NewVecDense(s.n, row), fresh, y
	return o
}

// foresee works out how well the values of offers are known before any pick, and
// what they should be; together, since after a survey each alone would go
// through the whole covariance.
func (pl *planner) foresee(offers []offer) {
	if len(offers) == 0 {
		return
	}
	j := mat.NewDense(len(offers), pl.s.n, nil)
	for i := range offers {
		j.SetRow(i, offers[i].j.RawVector().Data)
	}
	for i, v := range pl.s.variances(j) {
		o := &offers[i]
		o.v = v + o.fresh*o.fresh
		y, half := o.stop.Expected.Value, 1.645*math.Sqrt(o.v)
		o.stop.Expected = Interval{y, y - half, y + half}
	}
}

// deltas is what a fault of typical severity adds to its coefficients.
func (v *variant) deltas(c *airflow.Coefs) []slope {
	x := v.severity(severities[v.kind].mean)
	out := make([]slope, len(v.spots))
	for i, sp := range v.spots {
		d := x * sp.share
		switch v.kind {
		case Blockage:
			d = airflow.BlockageLoss(x)
		case GateRestricted:
			d = airflow.GateLoss(x)
		case FilterLoaded:
			d = *sp.slot.Of(c) * (x - 1)
		case FanWeak:
			d = x - *sp.slot.Of(c)
		}
		out[i] = slope{sp.slot, d}
	}
	return out
}

// pick takes the offer that tells most for its time and conditions all others on it.
func (pl *planner) pick() bool {
	best, top := -1, 0.0
	for i := range pl.offers {
		o := &pl.offers[i]
		if o.taken {
			continue
		}
		minutes := o.stop.Minutes
		if !pl.opened[o.key] {
			minutes += minutesGates
		}
		if g := pl.gain(o) / minutes; g > top*(1+1e-9) {
			best, top = i, g
		}
	}
	if best < 0 || top < 1e-6 {
		return false
	}
	pl.take(best)
	return true
}

// minutesGates is what setting the gates anew takes. Common practice, no source.
const minutesGates = 1.0

func (pl *planner) gain(o *offer) float64 {
	var g float64
	for k, t := range pl.sites {
		g += t.prior * 0.5 * math.Log1p(o.d[k]*o.d[k]/o.v/(1+pl.snr2[k]))
	}
	return g
}

func (pl *planner) take(i int) {
	p := &pl.offers[i]
	p.taken = true
	pl.opened[p.key] = true
	pl.picked = append(pl.picked, i)
	root := math.Sqrt(p.v)
	cj := pl.s.cov(p.j)
	for k := range pl.snr2 {
		pl.snr2[k] += p.d[k] * p.d[k] / p.v
	}
	for x := range pl.offers {
		o := &pl.offers[x]
		if o.taken {
			continue
		}
		c := mat.Dot(o.j, cj)
		for n := range p.l {
			c -= o.l[n] * p.l[n]
		}
		f := c / root
		o.l = append(o.l, f)
		o.v = math.Max(o.v-f*f, 1e-12)
		for k := range o.d {
			o.d[k] -= f * p.d[k] / root
		}
	}
	p.l = append(p.l, root)
}

// stops puts the picked readings into walking order: a configuration at a time.
func (pl *planner) stops() []Stop {
	ix := append([]int(nil), pl.picked...)
	sort.Slice(ix, func(a, b int) bool {
		x, y := &pl.offers[ix[a]], &pl.offers[ix[b]]
		if x.order != y.order {
			return x.order < y.order
		}
		return ix[a] < ix[b]
	})
	var out []Stop
	last := ""
	for n, i := range ix {
		s := pl.offers[i].stop
		if n == 0 || pl.offers[i].key != last {
			s.Minutes += minutesGates
		}
		last = pl.offers[i].key
		out = append(out, s)
	}
	return out
}

// shows works out for each kind the smallest fault that the picked readings show.
func (pl *planner) shows() []Shown {
	var out []Shown
	for k := Leak; k <= FanWeak; k++ {
		sh := Shown{Kind: k}
		var all []float64
		for i, t := range pl.sites {
			if t.kind != k {
				continue
			}
			sh.Places++
			sev, ok := t.variants[0].smallest(&pl.s.coef, shownAt/math.Sqrt(math.Max(pl.snr2[i], 1e-12)))
			if !ok {
				sh.Blind++
				continue
			}
			all = append(all, sev)
			if sh.BestAt == "" || lessBad(k, sev, sh.Best) {
				sh.Best, sh.BestAt = sev, t.where
			}
		}
		if sh.Places == 0 {
			continue
		}
		sort.Slice(all, func(a, b int) bool { return lessBad(k, all[a], all[b]) })
		if n := (sh.Places - 1) / 2; n < len(all) {
			sh.Usual = all[n]
		}
		out = append(out, sh)
	}
	return out
}

// lessBad orders severities of a kind.
func lessBad(k Kind, a, b float64) bool {
	if k == GateRestricted || k == FanWeak {
		return a > b
	}
	return a < b
}

// smallest turns a share of the typical fault's effect into a severity; false
// if even a very bad fault would have less effect.
func (v *variant) smallest(c *airflow.Coefs, share float64) (float64, bool) {
	typical := v.severity(severities[v.kind].mean)
	switch v.kind {
	case Leak:
		return typical * share, typical*share < v.bore
	case GateLeaking:
		left := *v.spots[0].slot.Of(c) + typical*share // what it leaves open as built included
		return left, left < v.bore
	case FilterLoaded:
		return 1 + (typical-1)*share, share < 20
	case FanWeak:
		return 1 - (1-typical)*share, (1-typical)*share < 0.9
	case Blockage:
		k := airflow.BlockageLoss(typical) * share
		return bisect(func(x float64) float64 { return airflow.BlockageLoss(x) - k }, 0.01, 0.97)
	}
	k := airflow.GateLoss(typical) * share
	if k > airflow.GateLoss(0.03) {
		return 0, false
	}
	return bisect(func(x float64) float64 { return k - airflow.GateLoss(x) }, 0.03, 0.99)
}

// bisect finds the root of a rising function; false if it lies above.
func bisect(f func(float64) float64, lo, hi float64) (float64, bool) {
	if f(hi) < 0 {
		return hi, false
	}
	for range 60 {
		if m := (lo + hi) / 2; f(m) < 0 {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2, true
}
