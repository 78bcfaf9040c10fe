package diagnose

import (
	"cmp"
	"slices"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/weigh"
	"lostair/readings"
	"lostair/readings/units"
)

// A duct that was measured across (inside_diameter) is as wide as it measures: all is
// worked out with that, and the page, where it says otherwise, is told to be wrong.

// BoreSure is how sure it is that a duct which measures another size than its page is
// of that size, and BoreSpread how far the measure may be off, as a share, in nine of
// ten. MinutesBore is what it takes, fan locked off and one end undone. Common
// practice, no source.
const (
	BoreSure    = 0.97
	BoreSpread  = 0.03
	MinutesBore = 4.0
)

// Measured are the ducts that aren't as wide as their page says, by who measured them.
func Measured(sys *duct.System, bores []observe.Bore) []fault.Written {
	var out []fault.Written
	size := func(v, spread float64) *fault.Size {
		return &fault.Size{Quantity: sizeAcross, Dimension: units.Diameter, Value: v, Low: v * (1 - spread), High: v * (1 + spread)}
	}
	for _, b := range bores {
		out = append(out, fault.Written{Kind: fault.AsBuilt, Where: sys.Ducts[b.Duct].ID, Probability: BoreSure, Together: BoreSure,
			Says: size(b.Page, 0), Behaves: size(b.Is, BoreSpread), Reason: fault.ByMeasure})
	}
	return out
}

// sizeAcross is the quantity of a duct's size.
const sizeAcross = "diameter"

// How likely a size must be wrong for measuring it to be offered, and to be worth its
// minutes; and how many are offered. Own choice.
const (
	boreOffered = 0.05
	boreWorth   = 0.2
	boresMost   = 2
)

// acrosses are the ducts to measure across, since the page may have their size wrong:
// the readings speak for it, and only a look tells it from what else they may mean.
func acrosses(p *weigh.Posterior, page []fault.Written) []Next {
	sum := map[string]float64{}
	var ducts []string
	for _, w := range page {
		if w.Kind != fault.AsBuilt || w.Behaves == nil || w.Behaves.Quantity != sizeAcross {
			continue
		}
		if _, ok := sum[w.Where]; !ok {
			ducts = append(ducts, w.Where)
		}
		sum[w.Where] = min(sum[w.Where]+w.Probability, 1)
	}
	slices.SortStableFunc(ducts, func(a, b string) int { return cmp.Compare(sum[b], sum[a]) })
	at := standing(p)
	var out []Next
	for _, d := range ducts {
		if sum[d] < boreOffered || len(out) == boresMost {
			break
		}
		n := Next{Point: d, LookAt: readings.InsideDiameter, Minutes: MinutesBore, Bits: entropy2(sum[d]), Pays: sum[d] >= boreWorth}
		n.Minutes = at.minutes(&ask{Next: n})
		out = append(out, n)
	}
	return out
}

// addAcrosses puts them among what is to be read next: what is worth its minutes by
// what it tells per minute, the rest at the end.
func addAcrosses(r *Result, more []Next) {
	for _, n := range more {
		i := len(r.Next)
		if n.Pays {
			r.Enough.Yes = false
			i = slices.IndexFunc(r.Next, func(o Next) bool { return !o.Pays || o.Bits/o.Minutes < n.Bits/n.Minutes })
			if i < 0 {
				i = len(r.Next)
			}
		}
		r.Next = slices.Insert(r.Next, i, n)
	}
}
