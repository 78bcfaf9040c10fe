package report

import (
	"fmt"
	"slices"

	"lostair/report/show"
)

// GainWords say what a step brings: at the port that it helps most toward its
// need, and at how many others.
func GainWords(gains []Gain) string {
	best, most, more := -1, -1.0, 0
	for i, g := range gains {
		if g.After == nil || g.After.Value <= g.Before {
			continue
		}
		more++
		cured := max(min(g.After.Value, g.Need)-g.Before, 0)
		if cured > most {
			best, most = i, cured
		}
	}
	if best < 0 {
		return ""
	}
	g := gains[best]
	s := fmt.Sprintf("With %s, %s gets %s in place of %s %s", show.Gates(g.Open), g.Port, g.After.Mid(), g.After.Shown(g.Before), g.After.Unit)
	switch before := g.After.Shown(g.Before); {
	case g.Need > g.Before && before == g.After.Shown(g.Need): // its digits would say that it has enough
		s = fmt.Sprintf("With %s, %s gets %s in place of slightly less than the %s %s that it needs", show.Gates(g.Open), g.Port, g.After.Mid(), show.Shown(g.Need), g.After.Unit)
	case g.Need > 0:
		s += fmt.Sprintf(" (needs %s)", show.Shown(g.Need))
	}
	if more > 1 {
		s += fmt.Sprintf(", and %s more air", pluralGets(more-1))
	}
	return s + "."
}

func pluralGets(n int) string {
	if n == 1 {
		return "1 other port"
	}
	return fmt.Sprintf("%d other ports", n)
}

// Against names what a step mends: the fault by its number, or "" if there is
// but one above; by its name what has no number.
func Against(r *Result, faults []Candidate) string {
	main, narrow, _ := Sorted(r.Faults)
	all := append(main, narrow...)
	var names []string
	for _, c := range faults {
		n := c.Name
		if i := NumberOf(all, c); i > 0 {
			n = fmt.Sprintf("fault %d", i)
		}
		if !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	if len(all) == 1 && len(names) == 1 && names[0] == "fault 1" {
		return ""
	}
	if most := 3; len(names) > most {
		names = append(names[:most:most], fmt.Sprintf("%d more", len(names)-most))
	}
	return show.Listed(names)
}

// NumberOf is under which number a candidate stands, itself or as what looks
// the same; 0: under none.
func NumberOf(faults []Fault, c Candidate) int {
	for i, f := range faults {
		for _, x := range append([]Candidate{f.Candidate}, f.Alike...) {
			if x.Kind == c.Kind && x.Where == c.Where {
				return i + 1
			}
		}
	}
	return 0
}

// CostWords say in brackets what a step takes; "" if that is not known.
func CostWords(cost int) string {
	switch cost {
	case 1:
		return " (minutes)"
	case 2:
		return " (about an hour)"
	case 3:
		return " (needs parts)"
	case 4:
		return " (a rebuild)"
	}
	return ""
}
