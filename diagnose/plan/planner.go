package plan

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/internal/settings"
	"lostair/diagnose/route"
	"lostair/readings"
	"lostair/readings/units"
)

// Stop is one reading of a round, with what it should show in a sound system.
type Stop struct {
	Open     readings.Open
	Point    string
	Quantity units.Quantity
	Expected fault.Interval // SI, 90 % for a sound system as built somewhere near its page
	Minutes  float64
}

// Shown is the smallest fault of a kind that a round would show: at the place
// where it shows best, at the usual place (the median), and how many of the
// places it would be missed at however bad it is.
type Shown struct {
	Kind        fault.Kind
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

	Unfinished bool // the work was stopped before its end: the readings chosen by then
}

// shownAt is how many standard deviations a fault must move the readings to count as shown.
const shownAt = 3.0

// Planner holds the readings that could be taken and what is known of each
// given those picked so far: an incremental Cholesky factorisation.
type Planner struct {
	S      *fit.Study
	Sites  []*fault.Site
	Offers []Offer
	adds   [][]fault.Slope // by site, what a typical fault adds to the coefficients
	weight []float64       // by site, how much a complaint speaks for it; nil: there is none
	weak   string          // port that is complained of; "": none
	most   int             // offers that are weighed against each other
	snr2   []float64       // by site, of those picked
	picked []int
	opened map[string]bool
}

// Offer is a reading that could be taken.
type Offer struct {
	Stop  Stop
	key   string // of its configuration
	order int    // where its configuration comes on the walk
	j     *mat.VecDense
	v     float64   // variance given those picked, error included
	fresh float64   // its error that is fresh, 1 sigma
	d     []float64 // by site: what a typical fault would change, given those picked
	l     []float64 // its row of the factor
	taken bool
	ofFan bool // picked to tell the curve of a fan whose file has none
}

func newPlanner(ctx context.Context, m *airflow.Model, surveys []*readings.Survey) (*Planner, error) {
	u := asbuilt.NewUnknowns(m)
	var bounds []*observe.Bound
	for _, sv := range surveys {
		b, bad := doubt.BindTrusted(m, sv)
		if err := bad.Err(); err != nil {
			return nil, err
		}
		bounds = append(bounds, b)
	}
	l := fit.NewLayout(u, bounds...)
	shared, err := search.LearnAll(ctx, m, u, l, bounds)
	if err != nil {
		return nil, err
	}
	return PlannerOf(m, u, l, shared), nil
}

// PlannerOf starts from what is known of the system already.
func PlannerOf(m *airflow.Model, u *asbuilt.Unknowns, l fit.Layout, shared fit.Prior) *Planner {
	empty := &observe.Bound{Survey: &readings.Survey{}, Gains: []string{"pressure", "velocity"}}
	ss := fault.Sites(m)
	return &Planner{S: fit.NewStudy(m, u, l, empty, shared), Sites: ss, most: mostOffers, snr2: make([]float64, len(ss)), opened: map[string]bool{}}
}

// Told sets what some readings show of each place, as times by which a typical
// fault there stands out, squared.
func (pl *Planner) Told(of func(site int) float64) {
	pl.Sound()
	for i := range pl.snr2 {
		pl.snr2[i] = of(i)
	}
}

// Sound sets the coefficients to what is known of the sound system.
func (pl *Planner) Sound() {
	pl.S.SetCoefs(fit.Point{Theta: pl.S.Pr.Mean}, nil)
	pl.adds = make([][]fault.Slope, len(pl.Sites))
	for i, t := range pl.Sites {
		pl.adds[i] = t.Variants[0].Deltas(&pl.S.Coef)
	}
}

// gather works out every offer: its value, its sensitivities and what each fault would do to it.
func (pl *Planner) gather(ctx context.Context) error {
	pl.Sound()
	s := pl.S
	st := s.M.NewState()
	configs := pl.configs()
	most, budget := max(pl.most/len(configs), fewestOffers), pl.budget()
	for k, c := range configs {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := st.Solve(&s.Coef, c.Cfg); err != nil {
			return fmt.Errorf("with %s open: %w", c.Open, err)
		}
		st.Prepare()
		at := most
		if len(c.Open.Gates) == 0 { // the others are few, and set once for all their readings
			at = budget
		}
		var here []Offer
		for spots := range slices.Chunk(pl.spots(c), 256) {
			var some []Offer
			for _, sp := range spots {
				sd := NewReadingSD(s, sp, st.Value(sp.Probe)) / math.Sqrt2 // half of its variance lasts, half is fresh
				some = append(some, pl.Offer(st, c, sp, k, sd, sd))
			}
			pl.Foresee(some)
			here = pl.best(append(here, some...), at)
		}
		if pl.Offers = append(pl.Offers, here...); len(pl.Offers) > 2*budget {
			pl.Offers = pl.best(pl.Offers, budget)
		}
	}
	return nil
}

// budget is how many offers are kept at once: as many as fit into mostMemory, each with
// its row of parameters and of sites.
func (pl *Planner) budget() int {
	return max(mostMemory/8/(pl.S.N+len(pl.Sites)), 64)
}

// Bounds of the work on a plant of thousands of ducts. Own choice.
const (
	mostMemory = 256 << 20 // bytes that offers take
	mostAlone  = 1_500_000 // settings with one port open, times ducts: each is solved on all ducts
)

// What a plan weighs against each other grows with the square of the plant, as
// each port's way is offered with that port alone open. Of a large plant only
// so many readings are, and in each configuration so many at least.
const mostOffers, fewestOffers = 2000, 4

// best are those n of the offers of one configuration that tell most for their
// time by themselves, in the order they came.
func (pl *Planner) best(here []Offer, n int) []Offer {
	if len(here) <= n {
		return here
	}
	worth := make([]float64, len(here))
	for i := range here {
		worth[i] = pl.gain(&here[i]) / here[i].Stop.Minutes
	}
	least := slices.Sorted(slices.Values(worth))[len(here)-n]
	out := make([]Offer, 0, n)
	for i := range here {
		if worth[i] >= least {
			out = append(out, here[i])
		}
	}
	return out
}

// configs: all shut, each port's gates alone, all open; in the order of the file. Where
// the file names the settings in use, a port's gates are alone only if they are so in
// use, or never; and what is in use stands in place of all open. Of a plant of thousands
// of ports evenly many, and the one that is complained of.
func (pl *Planner) configs() []NextConfig {
	m := pl.S.M
	every := 1 + len(m.Sys.Ports)*len(m.Sys.Ducts)/mostAlone
	none, _ := m.Configure(false, nil, nil)
	out := []NextConfig{{Cfg: none}}
	seen := map[string]bool{"none": true}
	add := func(o readings.Open, cfg airflow.Config) {
		if seen[o.String()] {
			return
		}
		seen[o.String()] = true
		c := NextConfig{Cfg: cfg, Open: o}
		for k, ok := range route.Reach(m, c.Cfg) {
			if ok {
				c.Ports = append(c.Ports, k)
			}
		}
		out = append(out, c)
	}
	for i := range m.Sys.Ports {
		if i%every == 0 || m.Sys.Ports[i].ID == pl.weak {
			x := settings.Nearest(m, i)
			add(x.Open, x.Cfg)
		}
	}
	if len(m.Sys.Settings) > 0 { // what the file says is in use, in place of all open
		for _, o := range settings.InUse(m) {
			if cfg, err := m.Configure(o.All, o.Gates, nil); err == nil && len(seen) < mostOffers/fewestOffers {
				add(o, cfg)
			}
		}
		return out
	}
	all, _ := m.Configure(true, nil, nil)
	return append(out, NextConfig{Cfg: all, Open: readings.Open{All: true}})
}

// spots that are worth offering in a configuration.
func (pl *Planner) spots(c NextConfig) []SpotToRead {
	m := pl.S.M
	var out []SpotToRead
	add := func(point string, q units.Quantity, minutes float64) {
		if pr, err := m.ProbeAt(point, q); err == nil {
			out = append(out, SpotToRead{Point: point, Q: q, Probe: pr, Minutes: minutes})
		}
	}
	on := map[int]bool{}
	for _, p := range c.Ports {
		add(m.Sys.Ports[p].ID, units.MeanVelocity, MinutesMouth)
		for d := m.Sys.Ports[p].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
			on[d] = true
		}
	}
	for d := range m.Sys.Ducts {
		trunk := len(m.Sys.Ducts[d].Children) > 1
		if on[d] || trunk && (c.Open.All || len(c.Open.Gates) == 0) {
			for _, t := range m.Sys.Ducts[d].Taps {
				add(t.ID, units.StaticPressure, MinutesTap)
			}
		}
	}
	hole := MinutesTap
	if pl.tapped() { // a tap of the file does as well without a new hole
		hole = MinutesHole
	} else {
		add(airflow.CollectorInlet, units.StaticPressure, MinutesTap)
	}
	add(airflow.FanInlet, units.StaticPressure, hole)
	add(airflow.FilterPoint, units.PressureDrop, MinutesTap)
	for _, in := range m.Sys.Instruments { // what the fan's motor takes, if there is a meter for it
		switch in.Measures {
		case units.Rotation:
			if c.Open.All { // it hardly changes from one setting to another
				add(airflow.FanPoint, units.FanSpeed, MinutesTap)
			}
		case units.Current:
			add(airflow.FanPoint, units.MotorCurrent, MinutesTap)
		case units.Power:
			add(airflow.FanPoint, units.MotorPower, MinutesTap)
		}
	}
	return out
}

// tapped says whether a duct that flows into the collector has a tap.
func (pl *Planner) tapped() bool {
	return slices.ContainsFunc(pl.S.M.Sys.Ducts, func(d duct.Duct) bool { return d.Into < 0 && len(d.Taps) > 0 })
}

// Offer is a reading with an error that lasts through the survey and one that
// is fresh, 1 sigma each; foresee says how well its value is known.
func (pl *Planner) Offer(st *airflow.State, c NextConfig, sp SpotToRead, order int, lasting, fresh float64) Offer {
	s := pl.S
	y := st.Value(sp.Probe)
	st.Sensitivity(sp.Probe, s.Grad)
	row := make([]float64, s.N)
	s.U.Row(s.Grad, s.Vals, row)
	gain := len(row) - 5 // the two instruments stand before filter, speed and day
	switch observe.MeasuresOf(sp.Q) {
	case units.Velocity:
		row[gain+1] += lasting
	case units.Pressure:
		row[gain] += lasting
	default: // an instrument of the fan's is read too seldom to tell what lasts
		fresh = math.Hypot(fresh, lasting)
	}
	o := Offer{Stop: Stop{Open: c.Open, Point: sp.Point, Quantity: sp.Q, Minutes: sp.Minutes}, key: c.Open.String(), order: order, d: make([]float64, len(pl.Sites))}
	for i := range pl.Sites {
		sum := 0.0
		for _, e := range pl.adds[i] {
			sum += *e.Slot.Of(&s.Grad.Coefs) * e.By
		}
		o.d[i] = sum
	}
	o.j, o.fresh, o.Stop.Expected.Value = mat.NewVecDense(s.N, row), fresh, y
	return o
}

// Foresee works out how well the values of offers are known before any pick, and
// what they should be; together, since after a survey each alone would go
// through the whole covariance.
func (pl *Planner) Foresee(offers []Offer) {
	if len(offers) == 0 {
		return
	}
	j := mat.NewDense(len(offers), pl.S.N, nil)
	for i := range offers {
		j.SetRow(i, offers[i].j.RawVector().Data)
	}
	for i, v := range pl.S.Variances(j) {
		o := &offers[i]
		o.v = v + o.fresh*o.fresh
		y, half := o.Stop.Expected.Value, 1.645*math.Sqrt(o.v)
		o.Stop.Expected = possible(fault.Interval{Value: y, Low: y - half, High: y + half}, o.Stop.Quantity, 1.645*o.fresh)
	}
}

// possible keeps a range to what can be: what has no direction is never negative, and
// before the fan no pressure is above the room's, apart from what the gauge is off.
func possible(iv fault.Interval, q units.Quantity, off float64) fault.Interval {
	switch {
	case q != units.StaticPressure && iv.Value >= 0:
		iv.Low = max(iv.Low, 0)
	case q == units.StaticPressure && iv.Value < -off:
		iv.High = min(iv.High, 0)
	}
	return iv
}

// pick takes the offer that tells most for its time, of those that take no more than
// so many minutes, and conditions all others on it.
func (pl *Planner) pick(most float64) (minutes float64, ok bool) {
	best, top := -1, 0.0
	for i := range pl.Offers {
		o := &pl.Offers[i]
		if o.taken {
			continue
		}
		t := o.Stop.Minutes
		if !pl.opened[o.key] {
			t += MinutesGates
		}
		if t > most {
			continue
		}
		if g := pl.gain(o) / t; g > top*(1+1e-9) {
			best, top, minutes = i, g, t
		}
	}
	if best < 0 || top < 1e-6 {
		return 0, false
	}
	pl.Take(best)
	return minutes, true
}

// MinutesGates is what setting the gates anew takes. Common practice, no source.
const MinutesGates = 1.0

func (pl *Planner) gain(o *Offer) float64 {
	var g float64
	for k := range pl.Sites {
		g += pl.prior(k) * 0.5 * math.Log1p(o.d[k]*o.d[k]/o.v/(1+pl.snr2[k]))
	}
	return g
}

// Take puts an offer into the plan, by its index, and lets the others know what it tells.
func (pl *Planner) Take(i int) {
	p := &pl.Offers[i]
	p.taken = true
	pl.opened[p.key] = true
	pl.picked = append(pl.picked, i)
	root := math.Sqrt(p.v)
	cj := pl.S.Cov(p.j)
	for k := range pl.snr2 {
		pl.snr2[k] += p.d[k] * p.d[k] / p.v
	}
	for x := range pl.Offers {
		o := &pl.Offers[x]
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
func (pl *Planner) stops() []Stop {
	ix := append([]int(nil), pl.picked...)
	sort.Slice(ix, func(a, b int) bool {
		x, y := &pl.Offers[ix[a]], &pl.Offers[ix[b]]
		if x.ofFan != y.ofFan {
			return x.ofFan
		}
		if x.order != y.order {
			return x.order < y.order
		}
		return ix[a] < ix[b]
	})
	var out []Stop
	last := ""
	for n, i := range ix {
		s := pl.Offers[i].Stop
		if n == 0 || pl.Offers[i].key != last {
			s.Minutes += MinutesGates
		}
		last = pl.Offers[i].key
		out = append(out, s)
	}
	return out
}

// Shows works out for each kind the smallest fault that the picked readings show.
func (pl *Planner) Shows() []Shown {
	var out []Shown
	for _, k := range fault.SearchedKinds() {
		sh := Shown{Kind: k}
		var all []float64
		for i, t := range pl.Sites {
			if t.Kind != k {
				continue
			}
			sh.Places++
			sev, ok := t.Variants[0].Smallest(&pl.S.Coef, shownAt/math.Sqrt(math.Max(pl.snr2[i], 1e-12)))
			if !ok {
				sh.Blind++
				continue
			}
			all = append(all, sev)
			if sh.BestAt == "" || fault.LessBad(k, sev, sh.Best) {
				sh.Best, sh.BestAt = sev, t.Where
			}
		}
		if sh.Places == 0 {
			continue
		}
		sort.Slice(all, func(a, b int) bool { return fault.LessBad(k, all[a], all[b]) })
		if n := (sh.Places - 1) / 2; n < len(all) {
			sh.Usual = all[n]
		}
		out = append(out, sh)
	}
	return out
}

// prior is how likely a fault is at a place, beside the others.
func (pl *Planner) prior(k int) float64 {
	if pl.weight == nil {
		return pl.Sites[k].Prior
	}
	return pl.Sites[k].Prior * pl.weight[k]
}
