package weigh

import (
	"context"
	"math"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
)

const (
	FaultyPrior  = 0.1 // probability that a baseline was taken with a fault in it. Common practice, no source
	faultyLeast  = -6. // nats that such a baseline must gain, its prior counted, to be looked at with the survey
	StillThere   = 0.9 // probability that the fault is there still when the survey is taken. Common practice, no source
	faultyWithin = 6.0 // nats below the best within which sets of faults of the baseline are tried in the survey
)

// faultyBaseline is the world in which the last baseline had a fault in it, which
// may be there still; nil if the baseline doesn't speak for one. It is searched
// like a survey that there is nothing to compare with.
func faultyBaseline(ctx context.Context, x *doubt.Setup, ss []*fault.Site, k *search.Learned) (*World, error) {
	if len(x.Bases) == 0 || x.Survey.Kept != nil || !doubt.BaselineStrained(k) {
		return nil, nil
	}
	b := x.Bases[len(x.Bases)-1]
	was := fit.NewStudy(x.M, k.U, k.L, b, k.Before)
	g, err := search.SearchAll(was, ctx, ss, nil, nil)
	if err != nil {
		return nil, nil // the survey may still be searched
	}
	best := g.All[0]
	gain := math.Log(FaultyPrior) + best.Score() - k.Last.Score()
	if len(best.Faults) == 0 || gain < faultyLeast {
		return nil, nil
	}
	shared, err := was.PriorAfter(best, k.L, k.Before)
	if err != nil {
		return nil, nil
	}
	now := fit.NewStudy(x.M, k.U, k.L, x.Survey, shared)
	h, err := search.SearchFrom(ctx, now, ss, nil, search.From{Found: func(n *search.Search) []screen.Idea {
		var out []screen.Idea
		for _, f := range g.All {
			if f.Score() > best.Score()-faultyWithin && len(f.Faults) > 0 {
				at := now.Before()
				at.Z = f.At.Z
				out = append(out, n.IdeaOf(f.Faults, at))
			}
		}
		return out
	}}, nil)
	if err != nil {
		return nil, nil
	}
	off := gain
	lead := h.All[0]
	if sameSites(lead.Faults, best.Faults) { // it is there once, not anew
		off += math.Log(StillThere) - lead.Prior
		for _, w := range lead.Rows {
			off += math.Log(w.Prior)
		}
	}
	r := &doubt.Mistake{Prior: FaultyPrior, Said: []fault.Written{{Kind: fault.WrongBaseline, Where: b.Survey.File, Reason: "faulty"}}}
	p := PosteriorOf(h, math.Inf(-1))
	return &World{R: r, p: p, X: x, Shared: shared, off: off, score: p.total + off}, nil
}

// sameSites says whether two sets are of the same places.
func sameSites(a, b []*fault.Variant) bool {
	if len(a) != len(b) || len(a) == 0 {
		return false
	}
	for _, v := range a {
		found := false
		for _, w := range b {
			found = found || v.Site == w.Site
		}
		if !found {
			return false
		}
	}
	return true
}
