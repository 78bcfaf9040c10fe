package verified

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose/fault"
	"lostair/report"
	"lostair/report/show"
)

// leastBuilt is the probability from which something is said to differ from the design.
const leastBuilt = 0.5

// deviation is one way in which the install differs from its design, a fault or
// what the page says wrong.
type deviation struct {
	kind, where, name, look string
	probability, together   float64
	alike                   []report.Alike
	sizes                   map[string]string // by name of those that are sizes: what to look at
}

func (d *deviation) itself() report.Alike {
	return report.Alike{Kind: d.kind, Where: d.where, Probability: d.probability, Name: d.name}
}

// among is whether a thing is among these.
func among(list []report.Alike, a report.Alike) bool {
	return slices.ContainsFunc(list, func(b report.Alike) bool { return same(a, b) })
}

// touches is whether two stand for the same thing, one being among what looks like the other.
func (d *deviation) touches(e *deviation) bool {
	return same(d.itself(), e.itself()) || among(d.alike, e.itself()) || among(e.alike, d.itself())
}

// deviations are what differs from the design, the likeliest of what looks the
// same standing for the rest, the surest first.
func (v *Verification) deviations(r *report.Result) []deviation {
	var all []deviation
	sizes := map[string]string{}
	for _, w := range r.Page {
		all = append(all, deviation{w.Kind, w.Where, w.Name, show.Title(w.Look) + ".", w.Probability, w.Together, w.Alike, nil})
		if w.Says != nil && w.Says.Quantity == fault.Across {
			sizes[w.Name] = show.Title(w.Look) + "."
		}
	}
	for _, f := range v.Faults {
		if f.Kind == "reading-wrong" || f.Kind == "undersized" {
			continue
		}
		d := deviation{f.Kind, f.Where, f.Name, f.Do, f.Probability, f.Together, nil, nil}
		for _, a := range f.Alike {
			d.alike = append(d.alike, report.Alike{Kind: a.Kind, Where: a.Where, Probability: a.Probability, Name: a.Name})
		}
		all = append(all, d)
	}
	slices.SortStableFunc(all, func(a, b deviation) int { return cmp.Compare(b.probability, a.probability) })
	var out []deviation
	for _, d := range all {
		i := slices.IndexFunc(out, func(o deviation) bool { return o.touches(&d) })
		if i < 0 {
			d.sizes = sizes
			out = append(out, d)
		} else {
			out[i].takes(&d)
		}
	}
	out = slices.DeleteFunc(out, func(d deviation) bool { return max(d.probability, d.together) < leastBuilt })
	slices.SortStableFunc(out, func(a, b deviation) int { return cmp.Compare(b.together, a.together) })
	return out
}

// takes adds another that looks the same.
func (d *deviation) takes(e *deviation) {
	d.together = max(d.together, e.together, d.probability)
	for _, a := range append([]report.Alike{e.itself()}, e.alike...) {
		if !same(d.itself(), a) && !among(d.alike, a) {
			d.alike = append(d.alike, a)
		}
	}
	slices.SortStableFunc(d.alike, func(a, b report.Alike) int { return cmp.Compare(b.Probability, a.Probability) })
}

// same is whether two stand for one thing: a duct may be of another size, or lose
// more, and these are two.
func same(a, b report.Alike) bool {
	return a.Kind == b.Kind && a.Where == b.Where && (a.Kind != "as-built" || a.Name == b.Name)
}

// alikeTold is how many of what looks the same are told, and alikeShare the
// share of the likeliest's probability from which one is.
const (
	alikeTold  = 3
	alikeShare = 0.1
)

// told are what looks the same, so many of them, the likeliest first. The likeliest
// size is among them whatever it weighs: a tape across the duct settles it.
func (d *deviation) told() []report.Alike {
	all := append([]report.Alike{d.itself()}, d.alike...)
	slices.SortStableFunc(all, func(a, b report.Alike) int { return cmp.Compare(b.Probability, a.Probability) })
	size := func(a report.Alike) bool { return d.sizes[a.Name] != "" }
	var out []report.Alike
	for _, a := range all {
		enough := len(out) > alikeTold || a.Probability < alikeShare*all[0].Probability
		if !enough || size(a) && !slices.ContainsFunc(out, size) {
			out = append(out, a)
		}
	}
	return out
}

// words tell it in a sentence or two: what, what looks the same, what settles it.
func (d *deviation) words() string {
	told := d.told()
	text := show.Title(told[0].Name)
	if len(told) == 1 {
		return fmt.Sprintf("%s: %s, %s. %s", text, show.Chance(d.together), show.Percent(d.together), d.look)
	}
	var others []string
	for _, a := range told[1:] {
		others = append(others, fmt.Sprintf("%s (%s)", a.Name, show.Percent(a.Probability)))
	}
	looks := []string{d.look}
	for _, a := range told {
		if do := d.sizes[a.Name]; do != "" && !slices.Contains(looks, do) {
			looks = append(looks, do)
		}
	}
	return fmt.Sprintf("%s (%s), or what the readings can't tell from it: %s. One of these: %s, %s. %s", text, show.Percent(told[0].Probability), strings.Join(others, "; "), show.Chance(d.together), show.Percent(d.together), strings.Join(looks, " "))
}
