package search

import (
	"context"
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/screen"
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

// Score is the log of how probable the baseline is, with its wrong rows.
func (b *BaselineFit) Score() float64 { return b.g.All[0].Score() }

// IdeaOf is a set of faults as an idea to begin with, from a point.
func (g *Search) IdeaOf(faults []*fault.Variant, at fit.Point) screen.Idea {
	h := fit.Hypothesis{Faults: faults}
	return screen.Idea{Hypothesis: h, Prior: g.PriorOf(faults), Key: screen.KeyOf(h, g.Vid, g.Wid), From: &fit.Fit{At: at}}
}

// PriorOf is the log prior of a set of faults.
func (g *Search) PriorOf(faults []*fault.Variant) float64 {
	var p float64
	for _, v := range faults {
		p += screen.LogOdds(g.Sites[v.Site].Prior) + math.Log(v.Weight)
	}
	return p
}
