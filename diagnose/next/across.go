package next

import (
	"cmp"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/weigh"
	"lostair/readings"
)

// MinutesBore is what it takes to measure a duct across, fan locked off and one end
// undone. Common practice, no source.
const MinutesBore = 4.0

// How likely a size must be wrong for measuring it to be offered, and to be worth its
// minutes; and how many are offered. Own choice.
const (
	boreOffered = 0.05
	boreWorth   = 0.2
	boresMost   = 2
)

// acrosses are the ducts to measure across, since the page may have their size wrong:
// the readings speak for it, and only a look tells it from what else they may mean.
func acrosses(p *weigh.Posterior, page []fault.Written) []Step {
	sum := map[string]float64{}
	var ducts []string
	for _, w := range page {
		if w.Kind != fault.AsBuilt || w.Behaves == nil || w.Behaves.Quantity != fault.Across {
			continue
		}
		if _, ok := sum[w.Where]; !ok {
			ducts = append(ducts, w.Where)
		}
		sum[w.Where] = min(sum[w.Where]+w.Probability, 1)
	}
	slices.SortStableFunc(ducts, func(a, b string) int { return cmp.Compare(sum[b], sum[a]) })
	at := standing(p)
	var out []Step
	for _, d := range ducts {
		if sum[d] < boreOffered || len(out) == boresMost {
			break
		}
		n := Step{Point: d, LookAt: readings.InsideDiameter, Minutes: MinutesBore, Bits: entropy2(sum[d]), Pays: sum[d] >= boreWorth}
		n.Minutes = at.minutes(&ask{Step: n})
		out = append(out, n)
	}
	return out
}

// withAcrosses puts them among what is to be read next: what is worth its minutes by
// what it tells per minute, the rest at the end.
func withAcrosses(list []Step, enough Enough, more []Step) ([]Step, Enough) {
	for _, n := range more {
		i := len(list)
		if n.Pays {
			enough.Yes = false
			i = slices.IndexFunc(list, func(o Step) bool { return !o.Pays || o.Bits/o.Minutes < n.Bits/n.Minutes })
			if i < 0 {
				i = len(list)
			}
		}
		list = slices.Insert(list, i, n)
	}
	return list, enough
}
