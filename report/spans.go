package report

import (
	"strings"

	"lostair/readings/units"
	"lostair/report/show"
)

// EvenSpan is an interval in even figures.
func EvenSpan(v *Interval) string {
	step := show.Step(v.Low, v.High)
	return show.Ranged(v.Low, step, show.Even) + " to " + show.Ranged(v.High, step, show.Even)
}

// SpanIn is a range in the unit of its quantity, the unit behind it.
func SpanIn(low, high float64, d units.Dimension, u units.System) string {
	step := show.Step(d.FromSI(u, low), d.FromSI(u, high))
	one := func(si float64) string {
		return show.Ranged(d.FromSI(u, si), step, func(float64) string { return units.FormatBare(si, d, u) })
	}
	return one(low) + " to " + strings.TrimSpace(one(high)+" "+d.Symbol(u))
}
