package track

import (
	"math"
	"sort"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/indicator"
)

// found is an indicator that has moved: of those that give a signal the one
// that explains the readings best, taken together with those found before it.
type found struct {
	ind   int
	chart charted
	gain  float64            // nats
	list  []indicator.Change // from the first survey after the reference on
	alike []int              // indicators that explain them about as well
}

// mostFound bounds how many changes are told apart.
const mostFound = 6

// alikeNats is how much worse an indicator may explain all surveys together
// and still be named as one that can't be told apart.
const alikeNats = 3.0

// find picks, one after the other, the indicators of a list that have moved.
func find(all []*indicator.Indicator, gs []*indicator.Fit, from int, ewmaAt, cusumAt float64) ([]found, []int) {
	var out []found
	var active []int
	for len(out) < mostFound {
		var cand []ranked
		for i, x := range all {
			if taken(all, i, active) {
				continue
			}
			ch := centred(changes(gs, i, active), from)
			cand = append(cand, ranked{i, chart(ch, from, ewmaAt, cusumAt), explains(ch[from:], x), ch[from:]})
		}
		sort.SliceStable(cand, func(a, b int) bool { return cand[a].gain > cand[b].gain })
		k := -1
		for j, x := range cand {
			if x.chart.first < 0 || len(out) > 0 && (all[x.ind].Backwards(x.chart.up) || leftOver(x.list, out)) {
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
			if j != k && x.gain > cand[k].gain-max(alikeNats, alikeOff*cand[k].gain) && x.chart.first >= 0 && !taken(all, x.ind, append(f.alike, f.ind)) {
				f.alike = append(f.alike, x.ind)
			}
		}
		out, active = append(out, f), append(active, f.ind)
	}
	return out, active
}

// taken says whether an indicator is in the list, or another place of its zone.
func taken(all []*indicator.Indicator, i int, list []int) bool {
	for _, x := range list {
		if x == i || all[i].Kind == fault.Leak && all[x].Kind == fault.Leak && all[x].Zone == all[i].Zone {
			return true
		}
	}
	return false
}

type ranked struct {
	ind   int
	chart charted
	gain  float64
	list  []indicator.Change
}

// leftOver says whether a change is so small beside those found already, in the
// surveys in which it shows at all, that it may be what is left of them.
func leftOver(list []indicator.Change, before []found) bool {
	for _, f := range before {
		var mine, theirs float64
		for i, x := range list {
			if x.None || math.Abs(x.Value) < 3*x.Fresh {
				continue
			}
			mine += x.Value * x.Value / (x.Fresh * x.Fresh)
			if y := f.list[i]; !y.None && y.Fresh > 0 {
				theirs += y.Value * y.Value / (y.Fresh * y.Fresh)
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
func changes(gs []*indicator.Fit, i int, active []int) []indicator.Change {
	out := make([]indicator.Change, len(gs))
	for s, g := range gs {
		out[s] = g.Estimate(i, active)
	}
	return out
}

// explains is how much better the surveys fit, in nats, if the indicator takes
// a value of its own in each. What sound systems don't do, such as a leak that
// is less than none, counts for less.
func explains(list []indicator.Change, by *indicator.Indicator) float64 {
	var gain, mean float64
	for _, x := range list {
		if x.None || x.Fresh <= 0 {
			continue
		}
		z := x.Value / x.Fresh
		gain += z * z / 2
		mean += z
	}
	if by.Backwards(mean > 0) {
		gain /= 4
	}
	return gain
}

// leastShare is what a further change must explain as a share of another. A
// large change is not quite linear and not just where its zone is thought to be;
// what is left of it looks like smaller changes.
const leastShare = 0.05
