package search

import (
	"context"
	"fmt"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/screen"
)

// BaselineFit is a sound survey searched for wrong rows.
type BaselineFit struct {
	S *fit.Study
	g *Search
}

// LearnAll is what sound surveys, one after the other, teach of the shared
// parameters.
func LearnAll(ctx context.Context, m *airflow.Model, u *asbuilt.Unknowns, l fit.Layout, bases []*observe.Bound) (fit.Prior, error) {
	shared := fit.Prior{Mean: make([]float64, l.N), Scale: 1}
	for _, b := range bases {
		var err error
		if shared, err = Learn(ctx, m, u, l, b, shared); err != nil {
			return fit.Prior{}, err
		}
	}
	return shared, nil
}

// Learn updates the shared as-built parameters with a sound survey: a search
// for wrong rows only, then the posterior of the best fit, mean and covariance.
func Learn(ctx context.Context, m *airflow.Model, u *asbuilt.Unknowns, l fit.Layout, b *observe.Bound, before fit.Prior) (fit.Prior, error) {
	after, _, err := LearnFrom(ctx, m, u, l, b, before)
	return after, err
}

// LearnFrom also gives the search; nil if there is no reading.
func LearnFrom(ctx context.Context, m *airflow.Model, u *asbuilt.Unknowns, l fit.Layout, b *observe.Bound, before fit.Prior) (fit.Prior, *BaselineFit, error) {
	b, _ = screen.Thinned(m, u, l, b, before, nil)
	s := fit.NewStudy(m, u, l, b, before)
	if len(s.Observation) == 0 {
		return before, nil, nil
	}
	g, err := SearchAll(s, ctx, nil, nil, nil)
	if err != nil {
		return before, nil, fmt.Errorf("%s: the model could not be solved: %w", b.Survey.File, err)
	}
	after, err := s.PriorAfter(g.All[0], l, before)
	return after, &BaselineFit{s, g}, err
}

// jointMost is how many readings of survey and baseline are fitted at once.
const jointMost = 360

// NewJoint pairs a survey with the baseline learned last; before is what was
// known without it. Nil if there is none, or too much of both.
func NewJoint(m *airflow.Model, u *asbuilt.Unknowns, l fit.Layout, b *observe.Bound, last *BaselineFit, before fit.Prior) *Joint {
	if last == nil || b.Kept != nil || last.S.B.Kept != nil || len(b.Observation)+len(last.S.Observation) > jointMost {
		return nil
	}
	f := last.g.All[0]
	j := &Joint{P: fit.NewPair(fit.NewStudy(m, u, l, last.S.B, before), fit.NewStudy(m, u, l, b, before), before),
		alone: last.S, at: f.At, before: before, l: l}
	for _, w := range f.Rows {
		j.Sound.Rows = append(j.Sound.Rows, &fit.Wrong{Observation: w.Observation, Drop: true, Cfg: -1})
	}
	return j
}
