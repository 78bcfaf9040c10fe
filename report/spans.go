package report

import (
	"lostair/report/show"
)

// EvenSpan is an interval in even figures.
func EvenSpan(v *Interval) string { return show.Even(v.Low) + " to " + show.Even(v.High) }
