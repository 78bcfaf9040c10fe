package diagnose

import (
	"context"

	"lostair/diagnose/duct"
	"lostair/diagnose/expect"
	"lostair/diagnose/fault"
	"lostair/diagnose/plan"
	"lostair/readings"
	"lostair/readings/units"
)

// RangeFlows says how wide the flows of an expectation are known where the file has no
// curve of the fan, or a part of the collector is a guess, read as well as they can be.
// Else it does nothing.
func RangeFlows(ctx context.Context, sys *duct.System, e *expect.Expected) error {
	cyclone, filter := GuessedDrops(sys)
	if sys.Collector.FanKnown() == duct.ByCurve && cyclone == nil && filter == nil {
		return nil
	}
	rows := []readings.Row{{Open: e.Open, Point: readings.CollectorInlet, Quantity: units.FlowRate}}
	to := []**fault.Interval{&e.Range}
	for i := range e.Points {
		if p := &e.Points[i]; p.Port && !p.Shut {
			rows = append(rows, readings.Row{Open: e.Open, Point: p.Point, Quantity: units.FlowRate})
			to = append(to, &p.Range)
		}
	}
	ranges, err := plan.Ranges(ctx, sys, sys.File, rows)
	if err != nil {
		return err
	}
	for i := range ranges {
		*to[i] = &ranges[i]
	}
	return nil
}
