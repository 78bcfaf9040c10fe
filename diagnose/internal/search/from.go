package search

import (
	"cmp"
	"context"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/screen"
)

// SearchAll searches, looks whether the best explanation asks for wider spreads
// or errors than were assumed, and if so searches again with those.
// With a joint, what counts is weighed by the survey and a baseline at once.
func SearchAll(s *fit.Study, ctx context.Context, ss []*fault.Site, j *Joint, steps func(done, of int)) (*Search, error) {
	return SearchFrom(ctx, s, ss, j, From{}, steps)
}

// From is where a search starts and where it may end. Each may be nil.
type From struct {
	Found  func(g *Search) []screen.Idea // ideas to begin with
	Worth  func(g *Search) bool          // of one that has fitted those: whether to go on
	Enough func(g *Search) bool          // of a search that has looked at the likeliest only: more would be of no use
	Brief  bool                          // look at the likeliest with less work
	Begin  *Scale                        // the factors to begin with, wider ones may follow; nil: none
	Under  *Scale                        // the factors to search under, and no others; nil: those that it asks for
	Near   *fit.Point                    // where the sound system of a large survey may lie
}

// SearchFrom does so. If ctx ends first, what was found by then comes with its
// error; nil if not even the sound system was fitted.
func SearchFrom(ctx context.Context, s *fit.Study, ss []*fault.Site, j *Joint, from From, steps func(done, of int)) (found *Search, _ error) {
	defer func() {
		if found != nil && s.Lost != nil {
			found.pool = nil // a plant's states are large, and what is asked of a search done seldom needs them
		}
	}()
	at, rows := Scale{1, 1, 0}, WrongRows(s)
	for _, w := range rows {
		w.Prior *= keptShare(s) // how many rows are wrong is counted over the whole survey
	}
	s.Stop = func() bool { return ctx.Err() != nil }
	g := NewSearch(s, ss, rows)
	g.Joint, g.Scouting = j, s.Lost == nil
	if from.Found != nil {
		g.found = from.Found(g)
	}
	g.worth, g.brief, g.start = from.Worth, from.Brief, from.Near
	exchanged := false
	switch {
	case from.Under != nil:
		at = *from.Under
	case from.Begin != nil:
		at = *from.Begin
	case s.Large():
		at = g.scaleOfSound(at)
	}
	var before *Search // under the factors last looked at
	err := g.runUnder(ctx, at, steps)
	for err == nil {
		if g.dropped {
			return g, nil
		}
		if err = ctx.Err(); err != nil {
			break
		}
		k := at
		if from.Under == nil {
			k = g.widest(at)
		}
		switch {
		case k != at:
			at, before, g, exchanged = k, g, g.anew(), false
			err = g.runUnder(ctx, at, steps)
		case g.Scouting && from.Enough != nil && from.Enough(g):
			if from.Under == nil {
				g.Average()
			}
			return g, nil
		case g.Scouting:
			err = g.Again(ctx, steps)
		case !exchanged:
			g.allowBeside()
			g.Exchange()
			g.polish()
			g.Together()
			exchanged = true
		default:
			if from.Under == nil {
				g.Average()
			}
			return g, nil
		}
	}
	if ctx.Err() != nil {
		return cmp.Or(g.ifAny(), before.ifAny()), ctx.Err()
	}
	return nil, err
}

// keptShare is the share of a survey's readings that are searched with.
func keptShare(s *fit.Study) float64 {
	if s.B.Kept == nil {
		return 1
	}
	return float64(len(s.B.Kept)) / float64(s.B.Of)
}

// ifAny is a search that has fitted something; nil of one that has not.
func (g *Search) ifAny() *Search {
	if g == nil || g.Sound == nil || len(g.All) == 0 {
		return nil
	}
	sortFits(g.All)
	return g
}

// runUnder searches under given factors.
func (g *Search) runUnder(ctx context.Context, k Scale, steps func(done, of int)) error {
	most := g.most(predictionsMost)
	if g.Scouting { // of a large survey it never does
		if most = predictionsScout; g.brief {
			most = predictionsBrief
		}
	}
	g.S.Most = most * max(len(g.S.B.Configs), 1)
	g.Scaled(k)
	g.allow(most)
	return g.Run(ctx, steps)
}

// anew is a search from what this one found, to be run under other factors.
func (g *Search) anew() *Search {
	n := NewSearch(g.S, g.Sites, g.rows)
	n.Joint, n.found, n.pool, n.Both, n.start = g.Joint, g.Lead(), g.pool, g.Both, g.start
	return n
}

// Lead are the leading explanations, to be looked at again under other spreads:
// what several faults do is not always found by adding one after the other.
func (g *Search) Lead() []screen.Idea {
	var out []screen.Idea
	for _, f := range g.All[:min(len(g.All), FitsALevel)] {
		if f.Score() < g.Best()-LeadWindow {
			break
		}
		out = append(out, screen.Idea{Hypothesis: f.Hypothesis, From: &fit.Fit{At: f.At}, Score: f.Score(), Prior: f.Prior, Key: f.Key})
	}
	return out
}

// LeadWindow is how far below the best, in nats, an explanation may lie to be
// looked at again.
const LeadWindow = 6.
