package track

import (
	"context"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
)

// tellStory finds the episodes.
func (t *tracker) tellStory(ctx context.Context, bounds []*observe.Bound, wrong [][]int, first int) (*story, error) {
	x := &story{t: t, sites: fault.Sites(t.m), first: first}
	if first >= len(bounds) {
		return nil, nil
	}
	x.all = make([]*telling, len(bounds))
	if err := x.each(ctx, func(i int) {
		s := fit.NewStudy(t.m, t.u, t.l, bounds[i], t.shared)
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
	for len(x.found) < mostEpisodes {
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
