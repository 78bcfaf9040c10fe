package story

import (
	"context"
	"math"
	"slices"
)

// Own choice.
const (
	clearlyMore   = 3.0 // nats by which a story must be likelier than another to be told in its place
	mostElsewhere = 6   // places of an episode that are tried
	mostMoved     = 3   // episodes that are tried elsewhere
)

// elsewhere tries the other places where an episode may be, each with all other
// episodes weighed anew beside it: the first to be found takes in what another
// explains later. A leak in a hose and, months after, that drop's gate half shut
// were told as a gate from the first month on and a leak in the main.
func (x *story) elsewhere(ctx context.Context) error {
	if len(x.found) < 2 {
		return nil
	}
	kept := x.found
	var better []*strand
	moved, most := 0, clearlyMore
	for k, e := range kept {
		if moved == mostMoved || !slices.ContainsFunc(kept, func(o *strand) bool { return x.meets(e, o) }) {
			continue
		}
		moved++
		now, best := math.Inf(-1), math.Inf(-1)
		var other []*strand
		for _, l := range e.like[:min(len(e.like), mostElsewhere)] {
			told, weight, err := x.told(ctx, k, l.site, kept)
			if err != nil {
				return err
			}
			switch {
			case told == nil:
			case l.site == e.site:
				now = max(now, weight)
			case weight > best:
				best, other = weight, told
			}
		}
		if more := best - now; other != nil && !math.IsInf(now, -1) && more > most {
			most, better = more, other
		}
	}
	if better == nil {
		return x.hold(ctx, kept)
	}
	if err := x.hold(ctx, better); err != nil {
		return err
	}
	return x.again(ctx)
}

// meets is whether an episode is there at the same time as another, and may be in
// the same duct.
func (x *story) meets(e, o *strand) bool {
	both := false
	for i := range e.on {
		both = both || o != e && e.on[i] >= 0.5 && o.on[i] >= 0.5
	}
	return both && slices.ContainsFunc(e.like, func(a likeness) bool {
		d := x.sites[a.site].Duct
		return d >= 0 && slices.ContainsFunc(o.like, func(b likeness) bool { return x.sites[b.site].Duct == d })
	})
}

// told is the story with the k-th episode at a site and those that meet it found anew
// beside it, each at a place where it may be, and the logarithm of what these weigh;
// nil if one of them is not there any more.
func (x *story) told(ctx context.Context, k, site int, all []*strand) ([]*strand, float64, error) {
	if err := x.hold(ctx, nil); err != nil {
		return nil, 0, err
	}
	out, sum := slices.Clone(all), 0.0
	for _, e := range append([]*strand{all[k]}, slices.Delete(slices.Clone(all), k, k+1)...) {
		list, apart := []int{site}, e != all[k] && !x.meets(e, all[k])
		switch {
		case apart:
			list = []int{e.site}
		case e != all[k]:
			list = e.places()[:min(len(e.like), mostElsewhere)]
		}
		if err := x.each(ctx, func(i int) { x.look(i, list) }); err != nil {
			return nil, 0, err
		}
		if apart { // as it was
			x.take(e)
			continue
		}
		now := x.strongest(list)
		if now == nil {
			return nil, 0, nil
		}
		sum += now.weight
		x.take(now)
		if e == all[k] {
			now.like = e.like // where else it may be is weighed again
		}
		out[slices.Index(all, e)] = now
	}
	return out, sum, nil
}

// hold makes some episodes what is held to be there, and no others.
func (x *story) hold(ctx context.Context, all []*strand) error {
	if err := x.each(ctx, func(i int) { x.all[i].beside(x.all[i].plain) }); err != nil {
		return err
	}
	x.found = all
	for _, e := range all {
		if err := x.each(ctx, func(i int) { x.look(i, []int{e.site}) }); err != nil {
			return err
		}
		x.take(e)
	}
	return nil
}
