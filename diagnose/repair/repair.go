package repair

import (
	"context"
	"maps"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/indicator"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/track"
	"lostair/readings"
)

// Options steer the comparison of two surveys. The zero Options is the usual one.
type Options struct {
	Baselines []*readings.Survey // surveys of the system when it was known to be sound
	Place     string             // duct, port, gate, "bin", "filter" or "fan" at which something was done; "": not said
	Leak      bool               // what was done at Place was to seal a leak
}

// Repair compares the surveys before and after a repair. All values are SI.
type Repair struct {
	System        *duct.System
	Before, After *readings.Survey
	Baselines     []*readings.Survey
	Place         string
	Improved      float64          // probability that a fault is gone, or less bad
	Worse         float64          // probability that a fault has come up, or is worse
	Cause         float64          // probability that what got better lies at Place, its zone included
	Zone          []string         // places that these readings can't distinguish from Place, it first
	Changes       []Part           // what may have changed, likeliest first, of at least 5 %
	Left          []Part           // what is probably wrong before and after alike
	Ports         []Port           // flow of each port with its own gates open
	Wrong         []track.WrongRow // rows of Before, then of After, that were set aside
	WrongBefore   int              // how many of Wrong are of Before
	Same          int              // readings that both surveys have
	Backwards     bool             // After is dated before Before
	Slip          *Slip            // values of one survey that are in another unit than written, and taken in that; nil: none
	Doubts        []fault.Doubt    // what of the system is taken otherwise than its file says
	Copied        bool             // both hold the same readings, value for value
}

// Part is one thing that may have changed: a fault, or those like it that
// these readings can't distinguish from it.
type Part struct {
	fault.Candidate                   // the likeliest place
	Together        float64           // probability that it is this one or one of Alike
	Alike           []fault.Candidate // of the same effect in the same zone
	Better          bool
	Was, Is         *fault.Interval // severity before and after; nil: no fault
}

// Port is a port's flow before and after, its own gates open.
type Port struct {
	Port          string
	Before, After fault.Interval // m³/s
	Ratio         fault.Interval // After over Before
	Need          float64
	More          float64 // probability that it gets more by at least 1 %
}

// MoreFlow is a share of flow that counts as more. Common practice, no source.
const MoreFlow = 0.01

// comparison is the work on one pair.
type comparison struct {
	m      *airflow.Model
	p      *fit.Pair
	timed  *timed
	aside  map[int]bool // observations of the pair of which nothing is believed
	sites  []*fault.Site
	opt    Options
	zone   []int // of each duct
	sets   []*fit.Fit
	weight []float64
}

// search finds the sets of faults; rows that lie far off what all others make
// of the best set are set aside, and it searches again without them.
func (c *comparison) search(ctx context.Context) error {
	c.zone = make([]int, len(c.m.Sys.Ducts))
	for i, z := range indicator.ZonesOf(c.m) {
		for _, d := range z {
			c.zone[d] = i
		}
	}
	aimed := make([]bool, len(c.sites))
	for i, s := range c.sites {
		aimed[i] = c.opt.Place != "" && s.Where == c.opt.Place && (!c.opt.Leak || s.Kind == fault.Leak)
	}
	c.timed = timedOf(c.sites, priorsOf(c.sites, aimed))
	c.aside = map[int]bool{}
	for k, s := range c.p.S {
		h, _ := search.NewSearch(s, nil, search.WrongRows(s)).Gross(fit.Point{Theta: s.Pr.Mean})
		for _, w := range h.Rows {
			c.setAside(c.p.Row(k) + w.Observation)
		}
	}
	for spread := 0; ; {
		c.p.PriorScale = search.SpreadFactors[spread].By
		g := c.timed.searchOf(c.p)
		if err := g.Run(ctx, nil); err != nil {
			return err
		}
		best := g.All[0]
		if wider := widest(c.p, best, spread); wider > spread {
			spread = wider
			continue
		}
		odd, _, far := screen.Oddest(c.p.Study, best, c.aside)
		if k, _ := c.p.Of(max(odd, 0)); far > indicator.OddLimit && 3*len(c.asideOf(k)) < len(c.p.S[k].Observation) {
			c.setAside(odd)
			continue
		}
		c.weigh(g)
		return nil
	}
}

// setAside believes nothing of an observation of the pair from here on.
func (c *comparison) setAside(i int) {
	c.aside[i] = true
	c.p.SetAside(i)
}

// asideOf are the observations of survey k of which nothing is believed, in order.
func (c *comparison) asideOf(k int) []int {
	var out []int
	for _, i := range slices.Sorted(maps.Keys(c.aside)) {
		if of, own := c.p.Of(i); of == k {
			out = append(out, own)
		}
	}
	return out
}

// weigh turns evidences into probabilities.
func (c *comparison) weigh(g *search.Search) {
	var total float64
	for _, f := range g.All {
		w := math.Exp(f.Score() - g.All[0].Score())
		c.sets, c.weight, total = append(c.sets, f), append(c.weight, w), total+w
	}
	for i := range c.weight {
		c.weight[i] /= total
	}
}

// event is what a set says of one site.
type event struct {
	site     int
	was, is  int     // indices of its faults, -1: none
	better   float64 // probability that it got better
	unchange bool
}

// events are what a set says of each site at fault.
func (c *comparison) events(f *fit.Fit) []event {
	var out []event
	for i, x := range f.Faults {
		site := c.timed.of[x.Site]
		e := event{site: site, was: -1, is: -1}
		if x.When.At(0) {
			e.was = i
		}
		if x.When.At(1) {
			e.is = i
		}
		at := slices.IndexFunc(out, func(o event) bool { return o.site == site })
		if at < 0 {
			out = append(out, e)
			continue
		}
		out[at].was, out[at].is = max(out[at].was, e.was), max(out[at].is, e.is)
	}
	for i := range out {
		e := &out[i]
		switch {
		case e.was == e.is:
			e.unchange = true
		case e.is < 0:
			e.better = 1
		case e.was >= 0:
			e.better = c.lessBad(f, e)
		}
	}
	return out
}

// lessBad is the probability that a fault that is there both times is less bad after.
func (c *comparison) lessBad(f *fit.Fit, e *event) float64 {
	gz := make([]float64, len(f.Faults))
	gz[e.is], gz[e.was] = 1, -1
	sd := math.Sqrt(c.p.Variance(f, make([]float64, c.p.N), gz))
	p := distuv.UnitNormal.CDF((f.At.Z[e.was] - f.At.Z[e.is]) / sd)
	if c.sites[e.site].Kind == fault.GateRestricted { // its severity is how far it is open
		return 1 - p
	}
	return p
}

// judge fills in what has changed, with probabilities over all sets.
func (c *comparison) judge(r *Repair) {
	got := [3]map[int]float64{{}, {}, {}} // worse, better, left: site → probability
	sev := map[[2]int]*timedSeverity{}    // by that and site
	for i, f := range c.sets {
		w := c.weight[i]
		good, bad, cause := 1.0, 1.0, 1.0
		for _, e := range c.events(f) {
			if e.unchange {
				got[2][e.site] += w
			} else {
				got[1][e.site] += w * e.better
				got[0][e.site] += w * (1 - e.better)
				good, bad = good*(1-e.better), bad*e.better
				if c.atPlace(e.site) {
					cause *= 1 - e.better
				}
			}
			if w < negligible {
				continue
			}
			for k, share := range [...]float64{w * (1 - e.better), w * e.better, w} {
				if share < negligible || (k == 2) != e.unchange {
					continue
				}
				at := [2]int{k, e.site}
				if sev[at] == nil {
					sev[at] = &timedSeverity{}
				}
				sev[at].add(share, c, f, e)
			}
		}
		r.Improved, r.Worse, r.Cause = r.Improved+w*(1-good), r.Worse+w*(1-bad), r.Cause+w*(1-cause)
	}
	if c.opt.Place == "" {
		r.Cause = 0
	}
	r.Improved, r.Worse, r.Cause = numeric.ClampProbability(r.Improved), numeric.ClampProbability(r.Worse), numeric.ClampProbability(r.Cause)
	r.Zone = c.zoneOfPlace()
	for k, probs := range got {
		for _, part := range c.parts(probs) {
			s := sev[[2]int{k, part.head}]
			if part.Together < leastPart || s == nil {
				continue
			}
			v := c.sites[part.head].Variants[0]
			part.Was, part.Is = s.of(v)
			part.Better = k == 1
			if k == 2 {
				if part.Together >= 0.5 {
					r.Left = append(r.Left, part.Part)
				}
				continue
			}
			r.Changes = append(r.Changes, part.Part)
		}
	}
	sort.SliceStable(r.Changes, func(a, b int) bool { return r.Changes[a].Together > r.Changes[b].Together })
}

// leastPart is the probability from which on something is listed.
const (
	leastPart  = 0.05
	negligible = 1e-6 // of a set's share in a severity
)

// timedSeverity is a severity before and after, over all sets in which a fault
// has fared alike.
type timedSeverity struct {
	was, is     numeric.Mixture
	all, w0, w1 float64
}

func (t *timedSeverity) add(w float64, c *comparison, f *fit.Fit, e event) {
	t.all += w
	if e.was >= 0 {
		z, sd := c.p.SeverityAt(f, 0, e.was)
		t.was.Add(w, z, sd)
		t.w0 += w
	}
	if e.is >= 0 {
		z, sd := c.p.SeverityAt(f, 1, e.is)
		t.is.Add(w, z, sd)
		t.w1 += w
	}
}

// of gives the severities; nil where there is more likely no fault.
func (t *timedSeverity) of(v *fault.Variant) (was, is *fault.Interval) {
	if 2*t.w0 >= t.all {
		was = severityIn(v, &t.was)
	}
	if 2*t.w1 >= t.all {
		is = severityIn(v, &t.is)
	}
	return was, is
}

type headed struct {
	Part
	head int
}

// parts groups sites that do the same to the air in the same zone, likeliest first.
func (c *comparison) parts(probs map[int]float64) []headed {
	type key struct {
		zone    int
		kind    fault.Kind
		obstruc bool
	}
	var order []int
	for s := range probs {
		order = append(order, s)
	}
	sort.Slice(order, func(a, b int) bool {
		if probs[order[a]] != probs[order[b]] {
			return probs[order[a]] > probs[order[b]]
		}
		return order[a] < order[b]
	})
	var out []headed
	at := map[key]int{}
	for _, s := range order {
		x := c.sites[s]
		k := key{c.zoneOf(s), x.Kind, fault.Obstructs(x.Kind)}
		if k.obstruc {
			k.kind = fault.Blockage
		}
		cand := fault.Candidate{Kind: x.Kind, Where: x.Where, Probability: numeric.ClampProbability(probs[s])}
		i, ok := at[k]
		if !ok {
			at[k] = len(out)
			out = append(out, headed{Part{Candidate: cand, Together: cand.Probability}, s})
			continue
		}
		out[i].Together = numeric.ClampProbability(out[i].Together + probs[s])
		if probs[s] >= leastPart {
			out[i].Alike = append(out[i].Alike, cand)
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Together > out[b].Together })
	return out
}

// zoneOf is the zone of a site; what is in the collector has one for each kind.
func (c *comparison) zoneOf(s int) int {
	if d := c.sites[s].Duct; d >= 0 {
		return c.zone[d]
	}
	return -1 - int(c.sites[s].Kind)
}

// atPlace says whether a site is where something was done, or in its zone and of a
// kind that can be wrong there.
func (c *comparison) atPlace(s int) bool {
	for i, x := range c.sites {
		if x.Where == c.opt.Place && (!c.opt.Leak || x.Kind == fault.Leak) && c.zoneOf(i) == c.zoneOf(s) &&
			(x.Kind == c.sites[s].Kind || fault.Obstructs(x.Kind) && fault.Obstructs(c.sites[s].Kind)) {
			return true
		}
	}
	return false
}

func (c *comparison) zoneOfPlace() []string {
	if c.opt.Place == "" {
		return nil
	}
	out := []string{c.opt.Place}
	for s, x := range c.sites {
		if c.atPlace(s) && !slices.Contains(out, x.Where) {
			out = append(out, x.Where)
		}
	}
	return out
}

func severityIn(v *fault.Variant, mix *numeric.Mixture) *fault.Interval {
	if len(mix.W) == 0 {
		return nil
	}
	a, b, c := v.Severity(mix.Quantile(0.05)), v.Severity(mix.Quantile(0.5)), v.Severity(mix.Quantile(0.95))
	return &fault.Interval{Value: b, Low: math.Min(a, c), High: math.Max(a, c)}
}

func (c *comparison) wrongRows(k int) []track.WrongRow {
	s := c.p.S[k]
	var out []track.WrongRow
	ways := search.WrongRows(s)
	for _, i := range c.asideOf(k) {
		o := &s.Observation[i]
		fits := c.sets[0].Fit.H[c.p.Row(k)+i]
		out = append(out, track.WrongRow{Row: &s.B.Survey.Rows[o.Rows[0]], Fits: fits, Reason: indicator.SlipOf(ways, i, o, fits)})
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Row.Line < out[b].Row.Line })
	return out
}
