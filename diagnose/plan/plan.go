package plan

import (
	"context"
	"fmt"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings"
)

// Plan is Choose for n readings.
func Plan(ctx context.Context, sys *duct.System, surveys []*readings.Survey, n int) (*Round, error) {
	return Choose(ctx, sys, surveys, Wish{Count: n})
}

// Choose chooses the readings that tell most about faults for the time they take,
// within a wish. surveys are readings there already, of a system taken to be sound;
// the plan then adds what they leave open. That a port is weak makes likelier what
// takes air from it. If ctx ends first, the readings chosen by then come with its
// error.
func Choose(ctx context.Context, sys *duct.System, surveys []*readings.Survey, w Wish) (*Round, error) {
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	pl, err := newPlanner(ctx, m, surveys)
	if err != nil {
		return nil, err
	}
	if w.Weak != "" {
		if err := pl.suspect(w.Weak); err != nil {
			return nil, err
		}
	}
	if err := pl.gather(ctx); err != nil && ctx.Err() == nil {
		return nil, err
	}
	pl.choose(ctx, w)
	ended := ctx.Err() // asked once: what comes after is not cut short
	r := &Round{System: sys, Unfinished: ended != nil, Stops: pl.stops(), Shows: pl.Shows()}
	for _, s := range r.Stops {
		r.Minutes += s.Minutes
	}
	return r, ended
}
