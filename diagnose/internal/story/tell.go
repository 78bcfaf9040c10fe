package story

import (
	"context"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/indicator"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
)

// Tell finds the episodes that bound surveys show from survey first on, before which
// are those of the reference; wrong are the observations of each that are set aside.
func Tell(ctx context.Context, t *indicator.Tracker, bounds []*observe.Bound, wrong [][]int, first int) ([]Episode, error) {
	x, err := tellStory(ctx, t, bounds, wrong, first)
	if err != nil || x == nil {
		return nil, err
	}
	var out []Episode
	for _, e := range x.found {
		out = append(out, x.episode(e))
	}
	return out, nil
}

// tellStory finds the episodes.
func tellStory(ctx context.Context, t *indicator.Tracker, bounds []*observe.Bound, wrong [][]int, first int) (*story, error) {
	x := &story{sites: fault.Sites(t.M), first: first}
	if first >= len(bounds) {
		return nil, nil
	}
	x.all = make([]*telling, len(bounds))
	if err := x.each(ctx, func(i int) {
		s := t.Against(bounds[i])
		l := &telling{s: s}
		for _, o := range wrong[i] {
			l.rows = append(l.rows, search.Dropped(s, o))
		}
		l.plain = s.Fit(fit.Hypothesis{Rows: l.rows}, s.Before(), looked)
		l.beside(l.plain)
		x.all[i] = l
	}); err != nil {
		return nil, err
	}
	for len(x.found) < indicator.MostFaults {
		if err := x.each(ctx, func(i int) { x.screen(x.all[i]) }); err != nil {
			return nil, err
		}
		list := x.candidates()
		if err := x.each(ctx, func(i int) { x.look(i, list) }); err != nil {
			return nil, err
		}
		e := x.strongest(list)
		if e == nil {
			break
		}
		x.found = append(x.found, e)
		x.take(e)
	}
	if err := x.again(ctx); err != nil {
		return nil, err
	}
	x.merge(false)
	if err := x.elsewhere(ctx); err != nil {
		return nil, err
	}
	x.merge(true)
	return x, nil
}
