package fault

import (
	"math"

	"lostair/diagnose/airflow"
)

// AlteredExpected is how many ducts are expected to have changed between two
// surveys, and AlteredLess the share of them that lose less than before.
// Common practice, no source.
const (
	AlteredExpected = 0.4
	AlteredLess     = 0.25
)

var (
	LosesMore = SeverityPrior{math.Log(1.6), 0.35}
	LosesLess = SeverityPrior{math.Log(0.7), 0.25}
)

// FilterChanged is how likely a filter is to be in another state than at the
// baseline: its cake grows and is shaken off, so its loss goes up and down by a
// third or more while it is as good as ever. Common practice, no source.
const FilterChanged = 0.3

var (
	FilterLosesMore = SeverityPrior{math.Log(1.4), 0.22}
	FilterLosesLess = SeverityPrior{math.Log(0.7), 0.2}
)

// Alterations lists the ducts that may have changed, and the filter, their places
// in a list of sites beginning with from.
func Alterations(m *airflow.Model, from int) []*Site {
	out := alteredDucts(m, from)
	if m.Sys.Collector.Filter == nil {
		return out
	}
	s := &Site{Kind: Altered, Where: FilterPlace, Duct: -1, Prior: FilterChanged}
	for _, own := range []SeverityPrior{FilterLosesMore, FilterLosesLess} {
		v := one(airflow.SlotFilter, 0)
		v.Site, v.Weight, v.Kind, v.own = from+len(out), 0.5, Altered, own
		s.Variants = append(s.Variants, v)
	}
	return append(out, s)
}

// alteredDucts lists the ducts of them.
func alteredDucts(m *airflow.Model, from int) []*Site {
	spots := make([][]Spot, len(m.Sys.Ducts))
	for _, p := range m.Parts() {
		switch p.What {
		case airflow.Friction, airflow.Bends, airflow.FreeLoss:
			if p.Duct >= 0 && p.Base > 0 {
				spots[p.Duct] = append(spots[p.Duct], Spot{p.Slot, p.Base})
			}
		}
	}
	var out []*Site
	for i := range m.Sys.Ducts {
		if len(spots[i]) == 0 {
			continue
		}
		s := &Site{Kind: Altered, Where: m.Sys.Ducts[i].ID, Duct: i, Prior: min(AlteredExpected/float64(len(m.Sys.Ducts)), 0.1)}
		for _, v := range []struct {
			weight float64
			own    SeverityPrior
		}{{1 - AlteredLess, LosesMore}, {AlteredLess, LosesLess}} {
			s.Variants = append(s.Variants, &Variant{Site: from + len(out), Weight: v.weight, Spots: spots[i], Kind: Altered, own: v.own})
		}
		out = append(out, s)
	}
	return out
}

// Broken says whether there is a fault of the list among these.
func Broken(list []*Variant) bool {
	for _, v := range list {
		if v.Kind != Altered {
			return true
		}
	}
	return false
}
