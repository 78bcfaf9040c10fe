package diagnose

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/internal/weigh"
)

// examined is what a survey has taught.
type examined struct {
	known *weigh.Earlier // to plan with; nil: the work was stopped
	P     *weigh.Posterior
}

// Examine learns from the baselines, oldest first, and searches what the survey
// says beside them: a large one first by those of its readings that tell most. If
// ctx ends first, what was found by then comes with the error, or nil.
func Examine(ctx context.Context, m *airflow.Model, all *observe.Bound, bases []*observe.Bound, job fault.Job, steps func(done, of int)) (*examined, error) {
	k, err := search.LearnBases(ctx, m, all, bases)
	if err != nil {
		return nil, err
	}
	u, l, shared := k.U, k.L, k.Shared
	ss := observe.Seen(weigh.WithPlugs(weigh.Places(m, len(bases) > 0, job), m, all), all.Looks)
	x := &doubt.Setup{M: m, U: u, L: l, Survey: all, Bases: bases, Job: job}
	var use []bool
	first := func(from search.From) (*search.Search, error) {
		setup := func(b *observe.Bound) *fit.Study { return fit.NewStudy(m, u, l, b, shared) }
		if len(all.Observation) <= fit.ThinAbove {
			return search.SearchFrom(ctx, setup(all), ss, search.NewJoint(m, u, l, all, k.Last, k.Before), from, steps)
		}
		g, b, kept, err := search.SearchPlant(ctx, setup, all, ss, steps)
		x.Survey, use = b, kept
		return g, err
	}
	p, err := weigh.Weigh(ctx, first, x, k, func(g *search.Search) *weigh.Posterior {
		other := doubt.DataErrors(g, x)
		p := weigh.PosteriorOf(g, doubt.Total(other)-math.Log(doubt.UnlistedPrior))
		p.Whole = weigh.WholeOf(x, all, shared, use, g.S.PriorScale)
		p.Setup = other
		return p
	}, steps)
	if ctx.Err() != nil {
		if p == nil {
			return nil, ctx.Err()
		}
		return &examined{nil, p}, ctx.Err()
	}
	if err != nil {
		return nil, fmt.Errorf("the model could not be solved: %w", err)
	}
	if err := weighed(p); err != nil {
		return nil, err
	}
	p.SetRowsAside()
	known := &weigh.Earlier{U: u, L: l, Shared: shared}
	p.Earlier = known
	if p.Lead != nil {
		p.Earlier = &weigh.Earlier{U: p.Lead.X.U, L: p.Lead.X.L, Shared: p.Lead.Shared}
		if p.Lead.X.M == m { // of another system there is nothing to plan with
			known = p.Earlier
		}
	}
	return &examined{known, p}, nil
}

// weighed is an error if a chance came out as no number: all of them are then worthless,
// and comparisons with them would let a fault pass for none.
func weighed(p *weigh.Posterior) error {
	if slices.ContainsFunc(append([]float64{p.Unlisted, p.Sound()}, p.Site...), math.IsNaN) {
		return errors.New("the chances could not be worked out from these readings; that is a defect of lostair, not of your files")
	}
	return nil
}
