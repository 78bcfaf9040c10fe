package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/report/finding"
	"lostair/report/show"
)

// shares parts the chance of a group among its members: what each would have if
// exactly one of them were there. They sum to it.
func shares(f *Fault) {
	sum := f.Probability
	for _, a := range f.Alike {
		sum += a.Probability
	}
	if !(sum > 0) {
		return
	}
	part := func(p float64) float64 { return math.Round(1e4*f.Together*p/sum) / 1e4 }
	left := f.Together
	for i := range f.Alike {
		f.Alike[i].Share = part(f.Alike[i].Probability)
		left -= f.Alike[i].Share
	}
	f.Share = max(math.Round(1e4*left)/1e4, 0)
}

// Shown is a member's share as it is said, in whole percents that add up to those said
// of the group: each is rounded down, and what is left goes to those cut most.
func (f Fault) Shown(m Candidate) float64 {
	all := f.Members()
	left := int(math.Round(100 * f.Together))
	whole, cut := make([]int, len(all)), make([]int, len(all))
	for i, x := range all {
		whole[i], cut[i] = int(100*x.Share+1e-6), i
		left -= whole[i]
	}
	slices.SortStableFunc(cut, func(a, b int) int {
		return cmp.Compare(100*all[b].Share-float64(whole[b]), 100*all[a].Share-float64(whole[a]))
	})
	for _, i := range cut[:min(max(left, 0), len(cut))] {
		whole[i]++
	}
	for i, x := range all {
		if x.Kind == m.Kind && x.Where == m.Where {
			return float64(whole[i]) / 100
		}
	}
	return m.Share
}

// Members are a fault and what looks the same, the largest share first.
func (f Fault) Members() []Candidate {
	head := f.Candidate
	all := append([]Candidate{head}, f.Alike...)
	slices.SortStableFunc(all, func(a, b Candidate) int {
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		}
		return 0
	})
	return all
}

// sort of fault, as a group is called by it.
func genus(kind string) string {
	switch kind {
	case fault.Leak.String(), fault.GateLeaking.String():
		return "a leak"
	case fault.Blockage.String(), fault.GateRestricted.String():
		return "a restriction"
	}
	return ""
}

// callsIt is the share of a group's chance from which a member has a say in what
// the group is called.
const callsIt = 0.03

// Group names a fault together with what looks the same: by the one name if it
// stands alone, else by its sort and the places of its members.
func (f Fault) Group() string {
	if len(f.Alike) == 0 {
		return f.Name
	}
	what := genus(f.Kind)
	for _, a := range f.Alike {
		if genus(a.Kind) != what && a.Share >= callsIt {
			what = ""
		}
	}
	var names []string
	for _, m := range f.Members() {
		n := m.Name
		if what != "" {
			n = m.Place()
		}
		names = append(names, n)
	}
	if n := len(names); n > mostPlaces {
		names = append(names[:mostPlaces:mostPlaces], show.Plural(n-mostPlaces, "more place"))
	}
	if what == "" {
		return show.Choose(names)
	}
	return what + " in " + show.Choose(names)
}

// mostPlaces is how many places of a group are named in a sentence.
const mostPlaces = 4

// mostAlike is how many members of a group are named with their shares.
const mostAlike = 6

// Place is where a member of a group is.
func (c Candidate) Place() string {
	switch {
	case c.AtGate():
		return "the gate " + c.Where
	case c.Where == readings.Bin:
		return "the dust bin"
	case c.AtHood():
		return "the hood of " + c.Where
	}
	return c.Where
}

// AtGate says that a fault is in a gate.
func (c Candidate) AtGate() bool {
	return c.Kind == fault.GateLeaking.String() || c.Kind == fault.GateRestricted.String()
}

// AtHood says that a blockage is at a port's hood, not in a duct.
func (c Candidate) AtHood() bool { return strings.HasPrefix(c.Name, finding.AtHood) }

// Shared says the members' shares: "loft-run 36 %, saw-drop 32 %".
func (f Fault) Shared() string {
	var parts []string
	rest, n := 0.0, 0
	for i, m := range f.Members() {
		if i >= mostAlike {
			rest += f.Shown(m)
			n++
			continue
		}
		parts = append(parts, m.Place()+" "+show.Percent(f.Shown(m)))
	}
	if n > 0 {
		parts = append(parts, fmt.Sprintf("%d more %s in all", n, show.Percent(rest)))
	}
	return show.Commas(parts)
}
