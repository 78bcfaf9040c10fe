package track

import (
	"math"
	"sort"

	"lostair/diagnose/fault"
)

// found is an indicator that has moved: of those that give a signal the one
// that explains the readings best, taken together with those found before it.
type found struct {
	ind   int
	chart charted
	gain  float64  // nats
	list  []change // from the first survey after the reference on
	alike []int    // indicators that explain them about as well
}

// mostFound bounds how many changes are told apart.
const mostFound = 6

// alikeNats is how much worse an indicator may explain all surveys together
// and still be named as one that can't be told apart.
const alikeNats = 3.0

// find picks, one after the other, the indicators that have moved.
func (t *tracker) find(gs []*indicatorFit, from int, ewmaAt, cusumAt float64) ([]found, []int) {
	var out []found
	var active []int
	for len(out) < mostFound {
		var cand []ranked
		for i := range t.list {
			if t.taken(i, active) {
				continue
			}
			ch := centred(changes(gs, i, active), from)
			cand = append(cand, ranked{i, chart(ch, from, ewmaAt, cusumAt), t.explains(ch[from:], i), ch[from:]})
		}
		sort.SliceStable(cand, func(a, b int) bool { return cand[a].gain > cand[b].gain })
		k := -1
		for j, x := range cand {
			if x.chart.first < 0 || len(out) > 0 && (!t.likely(x) || leftOver(x.list, out)) {
				continue
			}
			k = j
			break
		}
		if k < 0 {
			break
		}
		f := found{ind: cand[k].ind, chart: cand[k].chart, gain: cand[k].gain, list: cand[k].list}
		for j, x := range cand {
			if j != k && x.gain > cand[k].gain-max(alikeNats, alikeOff*cand[k].gain) && x.chart.first >= 0 && !t.taken(x.ind, append(f.alike, f.ind)) {
				f.alike = append(f.alike, x.ind)
			}
		}
		out, active = append(out, f), append(active, f.ind)
	}
	return out, active
}

// taken says whether an indicator is in the list, or another place of its zone.
func (t *tracker) taken(i int, list []int) bool {
	for _, x := range list {
		if x == i || t.list[i].kind == fault.Leak && t.list[x].kind == fault.Leak && t.list[x].zone == t.list[i].zone {
			return true
		}
	}
	return false
}

type ranked struct {
	ind   int
	chart charted
	gain  float64
	list  []change
}

// leftOver says whether a change is so small beside those found already, in the
// surveys in which it shows at all, that it may be what is left of them.
func leftOver(list []change, before []found) bool {
	for _, f := range before {
		var mine, theirs float64
		for i, x := range list {
			if x.none || math.Abs(x.value) < 3*x.fresh {
				continue
			}
			mine += x.value * x.value / (x.fresh * x.fresh)
			if y := f.list[i]; !y.none && y.fresh > 0 {
				theirs += y.value * y.value / (y.fresh * y.fresh)
			}
		}
		if mine < leastShare*theirs {
			return true
		}
	}
	return false
}

// alikeOff is how much worse, as a share, another place may explain the surveys
// for the model's own error in what a leak does here or there. Common practice, no source.
const alikeOff = 0.04

// changes is the series of one indicator, those in active taken to move as well.
func changes(gs []*indicatorFit, i int, active []int) []change {
	out := make([]change, len(gs))
	for s, g := range gs {
		out[s] = g.estimate(i, active)
	}
	return out
}

// explains is how much better the surveys fit, in nats, if the indicator takes
// a value of its own in each. What sound systems don't do, such as a leak that
// is less than none, counts for less.
func (t *tracker) explains(list []change, i int) float64 {
	var gain, mean float64
	for _, x := range list {
		if x.none || x.fresh <= 0 {
			continue
		}
		z := x.value / x.fresh
		gain += z * z / 2
		mean += z
	}
	if t.list[i].backwards(mean > 0) {
		gain /= 4
	}
	return gain
}

// backwards says whether a change is one that a sound system can't make: less
// than no leak, a hood freer than free, a fan faster than its speed.
func (x *indicator) backwards(up bool) bool {
	switch x.kind {
	case fault.Leak, fault.Blockage:
		return !up
	case fault.FanWeak:
		return up
	}
	return false
}

// leastShare is what a further change must explain as a share of another. A
// large change is not quite linear and not just where its zone is thought to be;
// what is left of it looks like smaller changes.
const leastShare = 0.05

func (t *tracker) likely(x ranked) bool { return !t.list[x.ind].backwards(x.chart.up) }
