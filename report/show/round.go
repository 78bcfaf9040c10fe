package show

import (
	"math"
	"strconv"

	"lostair/readings/units"
)

// digits that a value keeps: one more than is shown to a person, so that what
// is worked out from it does not suffer.
const digits = 4

// Significant rounds v to the digits that a value keeps.
func Significant(v float64) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// Probability rounds to four decimals and into 0..1; what is no number is 0.
func Probability(p float64) float64 {
	if math.IsNaN(p) {
		return 0
	}
	return math.Round(1e4*min(max(p, 0), 1)) / 1e4
}

// Finite is v, or 0 if v is no number. It stands where a number must stand.
func Finite(v float64) float64 {
	if !Numbers(v) {
		return 0
	}
	return v
}

// Numbers says whether all of v are numbers.
func Numbers(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// Value converts an SI value.
func Value(si float64, d units.Dimension, u units.System) float64 {
	return Significant(Finite(d.FromSI(u, si)))
}

// Spread converts a standard deviation, which knows no zero point.
func Spread(si float64, d units.Dimension, u units.System) float64 {
	return Significant(math.Abs(Finite(d.FromSI(u, si) - d.FromSI(u, 0))))
}
