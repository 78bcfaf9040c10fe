package observe

import (
	"slices"

	"lostair/readings"
	"lostair/readings/units"
)

// AllZero is the first row at which more than nothing should be read, if nothing
// was read at any.
func AllZero(survey *readings.Survey) *readings.Row {
	if !IsAllZero(survey) {
		return nil
	}
	for i := range survey.Rows {
		r := &survey.Rows[i]
		if r.Open.All || len(r.Open.Gates) > 0 || r.Quantity.Dimension() == units.Pressure {
			return r
		}
	}
	return nil
}

// IsAllZero is whether every value of a survey is zero.
func IsAllZero(survey *readings.Survey) bool {
	return !slices.ContainsFunc(survey.Rows, func(r readings.Row) bool { return r.Value != 0 })
}
