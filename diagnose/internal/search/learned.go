package search

import (
	"context"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
)

// Learned is what a survey's baselines have taught.
type Learned struct {
	U              *asbuilt.Unknowns
	L              fit.Layout
	Before, Shared fit.Prior
	Last           *BaselineFit
	Score          float64 // log evidence of the baselines
}

// learn takes the baselines in, oldest first.
func LearnBases(ctx context.Context, m *airflow.Model, all *observe.Bound, bases []*observe.Bound) (*Learned, error) {
	u := asbuilt.NewUnknowns(m)
	k := &Learned{U: u, L: fit.NewLayout(u, append([]*observe.Bound{all}, bases...)...)}
	k.Shared = fit.Prior{Mean: make([]float64, k.L.N), Scale: 1}
	k.Before = k.Shared
	for i, b := range bases {
		after, lesson, err := LearnFrom(ctx, m, u, k.L, b, k.Shared)
		if err != nil {
			return nil, err
		}
		if i == len(bases)-1 {
			k.Before, k.Last = k.Shared, lesson
		}
		k.Shared = after
		if lesson != nil {
			k.Score += lesson.g.All[0].Score()
		}
	}
	return k, nil
}
