package doubt

import (
	"cmp"
	"slices"

	"lostair/diagnose/internal/search"
)

const (
	mistakesMost   = 4   // mistakes that are searched
	mistakesByPage = 2   // of them those that gain most at the page, whatever else is wrong
	mistakeWindow  = 5.0 // nats below the best that a mistake may Promise and still be searched
	kindWindow     = 2.0 // nats below the best that the first of a kind may promise and be searched beside them
	pageGainMost   = 6.0 // nats that a mistake must gain at the page, its prior counted, to be searched for that
)

// Chosen are the mistakes worth a search, best first.
func Chosen(g *search.Search, all []*Mistake, k *search.Learned) []*Mistake {
	if len(all) == 0 {
		return nil
	}
	near := bases(g)
	best := g.Best() - g.Off
	earlier := earlierBases(k)
	var here, before []*Mistake
	for _, r := range all {
		if r.page && len(earlier) > 0 {
			before = append(before, r)
		} else {
			here = append(here, r)
		}
	}
	rateAll(here, near)
	rateAll(before, earlier)
	for _, r := range before {
		r.Promise += best - earlier[0].score()
	}
	list := slices.Clone(all)
	slices.SortStableFunc(list, func(a, b *Mistake) int { return cmp.Compare(b.Promise, a.Promise) })
	var out []*Mistake
	for _, r := range list {
		if r.Sure || len(out) < mistakesMost && r.Promise > best-mistakeWindow {
			out = append(out, r)
		}
	}
	// Mistakes of one kind often promise alike, and must not crowd the others out.
	for _, r := range list {
		if r.Promise > best-kindWindow && !slices.ContainsFunc(out, r.sameKind) {
			out = append(out, r)
		}
	}
	slices.SortStableFunc(list, func(a, b *Mistake) int { return cmp.Compare(b.PageGain, a.PageGain) })
	for _, r := range list[:min(len(list), mistakesByPage)] {
		if r.PageGain > pageGainMost && !slices.Contains(out, r) {
			r.ByPage = true
			out = append(out, r)
		}
	}
	return out
}

// sameKind says whether two mistakes are of one kind.
func (r *Mistake) sameKind(o *Mistake) bool { return r.kind() == o.kind() }

func (r *Mistake) kind() string {
	e := &r.Said[0]
	out := e.Kind.String()
	switch {
	case e.Behaves != nil:
		out += " " + e.Behaves.Quantity
	case e.Offset != nil:
		out += " offset"
	}
	return out
}

// earlierBases are the page as the last baseline sees it; nil without one.
func earlierBases(k *search.Learned) []*base {
	if k.Last == nil || len(k.Last.S.Observation) == 0 {
		return nil
	}
	b := baseOf(k.Last.S, nil, k.Last.S.Before(), 0)
	if b == nil {
		return nil
	}
	b.page = true
	return []*base{b}
}
