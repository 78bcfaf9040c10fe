package track

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/indicator"
	"lostair/diagnose/internal/numeric"
)

// trend is how a series has moved since its last jump.
type trend struct {
	from   int            // first survey of the stretch that it holds for
	jumped bool           // a step explains the stretch better than a slope
	began  [3]int         // survey with which it began: likeliest, earliest, latest (90 %)
	rate   fault.Interval // a day
	level  fault.Interval // now
	lines  []line
	misfit float64 // χ² of the best line
}

// line is one way in which the stretch may run, with its probability.
type line struct {
	at, base, rate     float64 // day, level there, change a day
	baseSD, sd, weight float64 // standard deviations of base and rate; probability
}

// jumps finds surveys between which a series steps further than its scatter
// allows, far standard deviations, and stays there: a repair, a cleaned filter, a hose pulled off.
func jumps(list []indicator.Change, scale, far float64) []int {
	var at []int
	var known []int
	for i, x := range list {
		if !x.None {
			known = append(known, i)
		}
	}
	last := 0
	for k := 1; k < len(known); k++ {
		a, b := list[known[last]], list[known[k]]
		sd := scale * math.Hypot(a.Fresh, b.Fresh)
		step := b.Value - a.Value
		if math.Abs(step) < far*sd+3*usualStep(list, known, k) {
			last = k
			continue
		}
		if k+1 < len(known) {
			c := list[known[k+1]]
			if next := c.Value - a.Value; next*step < 0 || math.Abs(next) < far/2*scale*math.Hypot(a.Fresh, c.Fresh) {
				continue // one bad survey, not a new level
			}
		}
		at, last = append(at, known[k]), k
	}
	return at
}

// usualStep is the median step between the surveys about a pair, that pair left
// out: what a drift does from one to the next.
func usualStep(list []indicator.Change, known []int, k int) float64 {
	var steps []float64
	for j := max(k-4, 1); j <= min(k+4, len(known)-1); j++ {
		if j != k {
			steps = append(steps, math.Abs(list[known[j]].Value-list[known[j-1]].Value))
		}
	}
	return median(steps)
}

// trendOf fits the stretch since the last jump: a level up to some day and a
// slope from then on, or a step; days are those of the surveys.
func trendOf(list []indicator.Change, days []float64, reference int, scale float64, jump []int) trend {
	t := trend{}
	base := 0.0
	if len(jump) > 0 {
		t.from = jump[len(jump)-1]
	}
	s := stretchOf(list, days, t.from, scale)
	if len(s.y) == 0 {
		return t
	}
	starts := s.index
	if t.from > 0 {
		starts = s.index[:1] // the stretch is what it is from its first day on
	}
	slope, step := math.Inf(1), math.Inf(1)
	var all []line
	var fits []float64
	for _, i := range starts {
		if i < reference-1 && t.from == 0 {
			continue
		}
		var l line
		var q float64
		if t.from > 0 {
			l, q = s.free(days[i])
		} else {
			l, q = s.hinge(days[i], base)
			step = math.Min(step, s.step(days[i]))
		}
		slope = math.Min(slope, q)
		all, fits = append(all, l), append(fits, q)
	}
	t.jumped = step < slope-stepClearer
	var total float64
	for i := range all {
		all[i].weight = math.Exp((slope - fits[i]) / 2)
		total += all[i].weight
	}
	for i := range all {
		all[i].weight /= total
	}
	t.lines, t.misfit = all, slope
	t.sum(days, s)
	return t
}

// stepClearer is how much better a step must fit than a slope, in χ², to be named
// as one: most things drift.
const stepClearer = 12

// stretch is what a trend is fitted to.
type stretch struct {
	index     []int
	day, y, w []float64
	last      float64
}

func stretchOf(list []indicator.Change, days []float64, from int, scale float64) stretch {
	var s stretch
	for i := from; i < len(list); i++ {
		if x := list[i]; !x.None && x.Fresh > 0 {
			s.index = append(s.index, i)
			s.day, s.y = append(s.day, days[i]), append(s.y, x.Value)
			s.w = append(s.w, 1/math.Pow(scale*x.Fresh, 2))
		}
	}
	s.last = days[len(days)-1]
	return s
}

// hinge: base up to a day, then a slope.
func (s stretch) hinge(at, base float64) (line, float64) {
	var xx, xy float64
	for i, d := range s.day {
		x := math.Max(d-at, 0)
		xx, xy = xx+s.w[i]*x*x, xy+s.w[i]*x*(s.y[i]-base)
	}
	l := line{at: at, base: base}
	if xx > 0 {
		l.rate, l.sd = xy/xx, 1/math.Sqrt(xx)
	}
	var q float64
	for i, d := range s.day {
		q += s.w[i] * math.Pow(s.y[i]-base-l.rate*math.Max(d-at, 0), 2)
	}
	return l, q
}

// free: a straight line with a level of its own.
func (s stretch) free(at float64) (line, float64) {
	var w, mx, my float64
	for i, d := range s.day {
		w, mx, my = w+s.w[i], mx+s.w[i]*d, my+s.w[i]*s.y[i]
	}
	mx, my = mx/w, my/w
	var xx, xy float64
	for i, d := range s.day {
		xx, xy = xx+s.w[i]*(d-mx)*(d-mx), xy+s.w[i]*(d-mx)*(s.y[i]-my)
	}
	l := line{at: mx, base: my, baseSD: 1 / math.Sqrt(w)}
	if xx > 0 {
		l.rate, l.sd = xy/xx, 1/math.Sqrt(xx)
	}
	return l, 0
}

// step: nothing up to a day, a level from then on.
func (s stretch) step(at float64) float64 {
	var w, y float64
	for i, d := range s.day {
		if d >= at {
			w, y = w+s.w[i], y+s.w[i]*s.y[i]
		}
	}
	if w > 0 {
		y /= w
	}
	var q float64
	for i, d := range s.day {
		e := s.y[i]
		if d >= at {
			e -= y
		}
		q += s.w[i] * e * e
	}
	return q
}

// sum gathers the lines into what is said of the trend.
func (t *trend) sum(days []float64, s stretch) {
	var rate, level numeric.Mixture
	for _, l := range t.lines {
		run := math.Max(s.last-l.at, 0)
		rate.Add(l.weight, l.rate, l.sd)
		level.Add(l.weight, l.base+l.rate*run, math.Hypot(l.sd*run, l.baseSD))
	}
	t.rate = fault.Interval{Value: rate.Quantile(0.5), Low: rate.Quantile(0.05), High: rate.Quantile(0.95)}
	t.level = fault.Interval{Value: level.Quantile(0.5), Low: level.Quantile(0.05), High: level.Quantile(0.95)}
	t.began = [3]int{t.from, t.from, t.from}
	if t.from > 0 {
		return
	}
	var at [3]float64
	for k, q := range []float64{0.5, 0.05, 0.95} {
		var sum float64
		for _, l := range t.lines {
			if sum += l.weight; sum >= q {
				at[k] = l.at
				break
			}
		}
	}
	for k := range at {
		t.began[k] = sort.SearchFloat64s(days, at[k]-1e-9)
	}
}

// neverDays stands for a limit that is not reached in any time worth naming.
const neverDays = 10 * 365.25

// shares is into how many equal shares a slope's distribution is divided.
const shares = 10

// spread of a forecast beside that of the rate itself. Common practice, no source.
const (
	PaceSpread  = 0.15 // of the time ahead, logarithm: what grows does not grow evenly
	LimitSpread = 0.1  // of a limit, as a share: how an indicator moves a flow is not quite known either
)

// normalFifths are the middles of five equal shares of a normal distribution.
func normalFifths() (z [5]float64) {
	for i := range z {
		z[i] = distuv.UnitNormal.Quantile((float64(i) + 0.5) / float64(len(z)))
	}
	return z
}

// ahead is a day after the last survey with its probability.
type ahead struct{ day, weight float64 }

// crosses lists when the trend may cross a limit, which is known to a share of rel.
func (t *trend) crosses(limit, rel, last float64) []ahead {
	var out []ahead
	fifths := normalFifths()
	for _, l := range t.lines {
		for k := range shares {
			r := l.rate + l.sd*distuv.UnitNormal.Quantile((float64(k)+0.5)/shares)
			for _, z := range fifths {
				day := neverDays
				if need := limit*math.Max(1+rel*z, leastOfLimit) - l.base; need*r > 0 {
					day = math.Max(l.at+need/r-last, 0)
				}
				for _, y := range fifths {
					out = append(out, ahead{math.Min(day*math.Exp(PaceSpread*y), neverDays), l.weight / (shares * float64(len(fifths)*len(fifths)))})
				}
			}
		}
	}
	return out
}

// leastOfLimit keeps a limit that is hardly known on its side.
const leastOfLimit = 0.05

func reached(all []ahead) (fault.Interval, bool) {
	sort.SliceStable(all, func(a, b int) bool { return all[a].day < all[b].day })
	quantile := func(q float64) float64 {
		var sum float64
		for _, x := range all {
			if sum += x.weight; sum >= q {
				return x.day
			}
		}
		return neverDays
	}
	v := fault.Interval{Value: quantile(0.5), Low: quantile(0.05), High: quantile(0.95)}
	return v, len(all) > 0 && v.Value < neverDays && v.Value > 0
}
