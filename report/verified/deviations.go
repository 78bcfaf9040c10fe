package verified

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

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
}

func (d *deviation) is(kind, where string) bool { return d.kind == kind && d.where == where }

// touches is whether two stand for the same thing, one being among what looks like the other.
func (d *deviation) touches(e *deviation) bool {
	names := func(d, e *deviation) bool {
		return d.is(e.kind, e.where) || slices.ContainsFunc(d.alike, func(a report.Alike) bool { return e.is(a.Kind, a.Where) })
	}
	return names(d, e) || names(e, d)
}

// deviations are what differs from the design, the likeliest of what looks the
// same standing for the rest, the surest first.
func (v *Verification) deviations(r *report.Result) []deviation {
	var all []deviation
	for _, w := range r.Page {
		all = append(all, deviation{w.Kind, w.Where, w.Name, show.Title(w.Look) + ".", w.Probability, w.Together, w.Alike})
	}
	for _, f := range v.Faults {
		if f.Kind == "reading-wrong" || f.Kind == "undersized" {
			continue
		}
		d := deviation{f.Kind, f.Where, f.Name, f.Do, f.Probability, f.Together, nil}
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
	for _, a := range append([]report.Alike{{Kind: e.kind, Where: e.where, Probability: e.probability, Name: e.name}}, e.alike...) {
		if !d.is(a.Kind, a.Where) && !slices.ContainsFunc(d.alike, func(b report.Alike) bool { return a.Kind == b.Kind && a.Where == b.Where }) {
			d.alike = append(d.alike, a)
		}
	}
	slices.SortStableFunc(d.alike, func(a, b report.Alike) int { return cmp.Compare(b.Probability, a.Probability) })
}

// alikeTold is how many of what looks the same are told, and alikeShare the
// share of the likeliest's probability from which one is.
const (
	alikeTold  = 3
	alikeShare = 0.1
)

// words tell it in a sentence or two: what, what looks the same, what settles it.
func (d *deviation) words() string {
	text := show.Title(d.name)
	var others []string
	for _, a := range d.alike {
		if a.Probability >= alikeShare*d.probability && len(others) < alikeTold {
			others = append(others, fmt.Sprintf("%s (%s)", a.Name, show.Percent(a.Probability)))
		}
	}
	if len(others) == 0 {
		return fmt.Sprintf("%s: %s, %s. %s", text, show.Chance(d.together), show.Percent(d.together), d.look)
	}
	return fmt.Sprintf("%s (%s), or what the readings can't tell from it: %s. One of these: %s, %s. %s", text, show.Percent(d.probability), strings.Join(others, "; "), show.Chance(d.together), show.Percent(d.together), d.look)
}
