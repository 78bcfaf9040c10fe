package round

import (
	"context"
	"math"

	"lostair/diagnose/duct"
	"lostair/diagnose/plan"
	"lostair/readings"
)

// planReadings is how many readings are planned for who has nothing to complain of.
const planReadings = 8

// Around are the readings that tell most of a system of which nothing is known.
func Around(ctx context.Context, sys *duct.System) ([]readings.Row, error) {
	p, err := plan.Plan(ctx, sys, nil, planReadings)
	if err != nil {
		return nil, err
	}
	out := []readings.Row{}
	for _, s := range p.Stops {
		out = append(out, readings.Row{Open: s.Open, Point: s.Point, Quantity: s.Quantity, Value: math.NaN()})
	}
	return out, nil
}
