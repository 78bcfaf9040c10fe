package story

import (
	"context"
	"math"
	"slices"
	"sort"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/indicator"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/search"
)

// Bounds of the story. Own choice.
const (
	leastEpisode  = 0.7  // probability from which one is told
	screenedSites = 24   // places that are fitted, by what they explain in a first look
	screenWindow  = 12.0 // nats below the best of them within which others are fitted
	screenSlack   = 0.5  // share of what the best promises by which it may be off
	leastScreened = -6.0 // nats below which the best is not fitted, nor any other
	leastGain     = 1.0  // nats that a place must explain over a run of surveys, its prior left aside
	mildest       = 2.3  // standard deviations of its prior by which a severity is milder than any worth telling
	lookGain      = 0.05 // nats by which what one survey says of one place may be off
	likeShare     = 0.01 // of a place within its episode, from which it is named
	mostLike      = 8
)

// looked is how exactly a survey of a story is fitted.
var looked = fit.Settings{Enough: lookGain}

// story finds the episodes of a history. The surveys are judged together: a
// fault is weighed by what all surveys say of it, coming and going once, with a
// severity that moves little from one to the next. The strongest is taken, held
// to be there while it was, and the next is looked for beside it.
type story struct {
	sites []*fault.Site
	all   []*telling // one a survey
	first int        // first survey that is no reference
	found []*strand
}

// telling is one survey against what the reference has taught.
type telling struct {
	s      *fit.Study
	rows   []*fit.Wrong           // rows that are wrong and set aside
	plain  *fit.Fit               // with nothing that broke
	base   *fit.Fit               // with what is known to be there
	screen []float64              // site → what it explains at first look, in nats; nil: not looked yet
	looks  map[int]seen           // site → what the survey says of it, beside base
	at     map[int]*fault.Variant // site → its likeliest variant

	bareLooks map[int]seen // looks and at beside plain
	bareAt    map[int]*fault.Variant
}

// strand is an episode with what it was found by.
type strand struct {
	site   int
	paths  []path
	like   []likeness
	there  float64   // probability that it is real
	weight float64   // logarithm of what all its places weigh against none of them
	on     []float64 // survey → probability that it is there
}

// places are the sites where it may be.
func (e *strand) places() []int {
	var out []int
	for _, l := range e.like {
		out = append(out, l.site)
	}
	return out
}

// likeness is a site's share of an episode.
type likeness struct {
	site  int
	share float64
}

// again weighs each episode anew beside those found after it, the weakest claim
// first, and drops what they explain as well.
func (x *story) again(ctx context.Context) error {
	for k := 0; k < len(x.found) && len(x.found) > 1; {
		e := x.found[k]
		list := e.places()
		if err := x.each(ctx, func(i int) { x.leave(i, e) }); err != nil {
			return err
		}
		if err := x.each(ctx, func(i int) { x.look(i, list) }); err != nil {
			return err
		}
		now := x.strongest(list)
		if now == nil {
			x.found = slices.Delete(x.found, k, k+1)
			continue
		}
		x.found[k] = now
		x.take(now)
		k++
	}
	return nil
}

// leave takes an episode out of what is held to be there in a survey.
func (x *story) leave(i int, e *strand) {
	l := x.all[i]
	var faults []*fault.Variant
	for _, v := range l.base.Faults {
		if v.Site != e.site {
			faults = append(faults, v)
		}
	}
	if len(faults) == len(l.base.Faults) {
		return
	}
	start := l.base.At.Clone()
	start.Z, start.Dual = nil, nil
	for _, v := range faults {
		start.Z = append(start.Z, fault.Severities[v.Kind].Mean)
	}
	if f := l.s.Fit(fit.Hypothesis{Faults: faults, Rows: l.base.Rows}, start, looked); f.Ok() {
		l.beside(f)
	}
}

// each does the work for every survey that is no reference, by two workers.
func (x *story) each(ctx context.Context, work func(i int)) error {
	n := len(x.all) - x.first
	numeric.ForEach(n, func(k int) {
		if ctx.Err() == nil {
			work(x.first + k)
		}
	})
	return ctx.Err()
}

// candidates are the sites worth fitting: those whose linear effects explain
// most over a run of surveys.
func (x *story) candidates() []int {
	var all []int
	for i, s := range x.sites {
		if s.Prior > 0 {
			all = append(all, i)
		}
	}
	run, best := make([]float64, len(x.sites)), make([]float64, len(x.sites))
	for i := x.first; i < len(x.all); i++ {
		for k := range run {
			run[k] = math.Max(0, run[k]+x.all[i].screen[k])
			best[k] = math.Max(best[k], run[k])
		}
	}
	gain := slices.Clone(best)
	for _, si := range all {
		best[si] += math.Log(Breaks * x.sites[si].Prior / fault.ExpectedFaults)
	}
	sort.SliceStable(all, func(a, b int) bool { return best[all[a]] > best[all[b]] })
	if len(all) == 0 || best[all[0]] < leastScreened {
		return nil
	}
	top := best[all[0]]
	least := top - screenWindow - screenSlack*max(top, 0)
	var out []int
	for _, si := range all {
		// What acts at the collector moves every reading, and far from in proportion.
		if best[si] > least && gain[si] > leastGain && len(out) < screenedSites || x.sites[si].Duct < 0 && top > screenWindow {
			out = append(out, si)
		}
	}
	return out
}

// screen works out the linear gain of each site in one survey.
func (x *story) screen(l *telling) {
	if l.screen != nil {
		return
	}
	out := make([]float64, len(x.sites))
	for k := range out {
		out[k] = -2
	}
	l.screen = out
	if !l.base.Ok() {
		return
	}
	ideas, _ := search.FirstLook(l.s, l.base, x.sites)
	for _, d := range ideas {
		v := d.Faults[len(d.Faults)-1]
		out[v.Site] = math.Max(out[v.Site], d.Score-d.Prior-l.base.Evidence)
	}
}

// look fits each site in one survey beside what is there already.
func (x *story) look(i int, list []int) {
	l := x.all[i]
	if !l.base.Ok() {
		return
	}
	for _, si := range list {
		if _, done := l.looks[si]; !done {
			x.lookAt(l, si)
		}
	}
}

// beside begins anew what a survey says, beside a new base.
func (l *telling) beside(base *fit.Fit) {
	l.base, l.looks, l.at, l.screen = base, map[int]seen{}, map[int]*fault.Variant{}, nil
	if base != l.plain {
		return
	}
	if l.bareLooks == nil {
		l.bareLooks, l.bareAt = l.looks, l.at
	}
	l.looks, l.at = l.bareLooks, l.bareAt // they are the same each time
}

// lookAt weighs one site in one survey over its variants.
func (x *story) lookAt(l *telling, si int) {
	site := x.sites[si]
	for _, v := range l.base.Faults {
		if v.Site == si {
			return
		}
	}
	how := fit.Settings{Floor: l.base.Evidence - fit.Hopeless, Enough: lookGain}
	var gains []float64
	best, bestGain, hopeless := (*fit.Fit)(nil), math.Inf(-1), false
	for _, v := range site.Variants {
		h := fit.Hypothesis{Faults: append(slices.Clone(l.base.Faults), v), Rows: l.base.Rows}
		start := l.base.At.Clone()
		start.Z, start.Dual = append(start.Z, fault.Severities[v.Kind].Mean), nil
		f := l.s.FitFrom(h, start, fit.PatienceFar, how)
		hopeless = hopeless || f.GivenUp()
		if !f.Ok() || math.IsNaN(f.Evidence) {
			continue
		}
		g := f.Evidence - l.base.Evidence + math.Log(v.Weight)
		gains = append(gains, g)
		if g > bestGain {
			best, bestGain = f, g
		}
	}
	if best == nil {
		if hopeless {
			l.looks[si] = seen{known: true, gain: -fit.Hopeless}
		}
		return
	}
	k := len(best.Faults) - 1
	gz := make([]float64, k+1)
	gz[k] = 1
	gain, z, usual := numeric.LogSumExp(gains), best.At.Z[k], fault.Severities[site.Kind]
	if math.Abs(z-usual.Mean) > indicator.FarSeverity*usual.Sd { // hardly there, or more than can be: Laplace's method tells nothing so far out
		l.looks[si] = seen{known: true, gain: math.Min(gain, -indicator.FarSeverity)}
		return
	}
	sd := math.Sqrt(l.s.Variance(best, make([]float64, l.s.N), gz))
	l.looks[si] = seenBy(gain, z, sd, usualOf(site.Kind))
	l.at[si] = best.Faults[k]
}

// usualOf is the prior of a kind's severity.
func usualOf(k fault.Kind) bell {
	p := fault.Severities[k]
	return bell{p.Mean, 1 / (p.Sd * p.Sd)}
}

// strongest is the episode that explains most, or nil if none is likelier than not.
func (x *story) strongest(list []int) *strand {
	weight := map[int]float64{}
	ways := map[int][]path{}
	var logs []float64
	best := -1
	for _, si := range list {
		ways[si] = paths(x.looksOf(si), usualOf(x.sites[si].Kind), x.first, x.sites[si].Prior/fault.ExpectedFaults)
		weight[si] = total(ways[si])
		logs = append(logs, weight[si])
		if best < 0 || weight[si] > weight[best] {
			best = si
		}
	}
	if best < 0 {
		return nil
	}
	sum := numeric.LogSumExp(logs)
	e := &strand{site: best, paths: ways[best], there: 1 / (1 + math.Exp(-sum)), weight: sum}
	if e.there < leastEpisode || hardly(x.sites[best].Kind, e.paths) {
		return nil
	}
	x.shares(e, list, weight)
	e.on = make([]float64, len(x.all))
	for _, p := range e.paths {
		w := math.Exp(p.log - weight[best])
		for i := p.from; i < p.to; i++ {
			e.on[i] += w
		}
	}
	return e
}

// hardly is whether the likeliest path has a severity that is next to none.
func hardly(k fault.Kind, all []path) bool {
	best := likeliest(all)
	p := fault.Severities[k]
	off := (math.Max(best.first.mean, best.last.mean) - p.Mean) / p.Sd
	if k == fault.GateRestricted { // the more open the milder
		off = (p.Mean - math.Min(best.first.mean, best.last.mean)) / p.Sd
	}
	return off < -mildest
}

// AlikeErrors is how much of what tells one place from another is an error of the
// model, the same in every survey, so that more surveys tell little more. On
// histories read by another model, two places of one drop differed by 0.8 nats a
// survey for nine surveys, the wrong one ahead. Own choice.
const AlikeErrors = 0.7

// shares divides an episode among the places where it may be.
func (x *story) shares(e *strand, list []int, weight map[int]float64) {
	long := 0.0
	for _, p := range e.paths {
		long += math.Exp(p.log-weight[e.site]) * float64(p.to-p.from)
	}
	temper, sum := 1+AlikeErrors*math.Max(long-1, 0), 0.0
	for _, si := range list {
		sum += math.Exp((weight[si] - weight[e.site]) / temper)
	}
	for _, si := range list {
		if share := math.Exp((weight[si]-weight[e.site])/temper) / sum; share >= likeShare {
			e.like = append(e.like, likeness{si, share})
		}
	}
	sort.SliceStable(e.like, func(a, b int) bool { return e.like[a].share > e.like[b].share })
}

// looksOf is what all surveys say of one site; nothing in the reference.
func (x *story) looksOf(si int) []seen {
	out := make([]seen, len(x.all))
	for i := x.first; i < len(x.all); i++ {
		out[i] = x.all[i].looks[si]
	}
	return out
}

// take holds an episode to be there in the surveys that show it.
func (x *story) take(e *strand) {
	numeric.ForEach(len(x.all)-x.first, func(k int) {
		i := x.first + k
		l := x.all[i]
		v := l.at[e.site]
		if e.on[i] < 0.5 || v == nil {
			return
		}
		h := fit.Hypothesis{Faults: append(slices.Clone(l.base.Faults), v), Rows: l.base.Rows}
		start := l.base.At.Clone()
		start.Z, start.Dual = append(start.Z, fault.Severities[v.Kind].Mean), nil
		if f := l.s.Fit(h, start, looked); f.Ok() {
			l.beside(f)
		}
	})
}
