package report

import (
	"math"
	"strconv"

	"lostair/diagnose"
	"lostair/readings/units"
)

// digits that a value keeps: one more than is shown to a person, so that what
// is worked out from it does not suffer.
const digits = 4

// significant rounds v to the digits that a value keeps.
func significant(v float64) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// probability rounds to four decimals and into 0..1; what is no number is 0.
func probability(p float64) float64 {
	if math.IsNaN(p) {
		return 0
	}
	return math.Round(1e4*min(max(p, 0), 1)) / 1e4
}

// finite is v, or 0 if v is no number. It stands where a number must stand.
func finite(v float64) float64 {
	if !numbers(v) {
		return 0
	}
	return v
}

// numbers says whether all of v are numbers.
func numbers(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// value converts an SI value.
func value(si float64, d units.Dimension, u units.System) float64 {
	return significant(finite(d.FromSI(u, si)))
}

// spread converts a standard deviation, which knows no zero point.
func spread(si float64, d units.Dimension, u units.System) float64 {
	return significant(math.Abs(finite(d.FromSI(u, si) - d.FromSI(u, 0))))
}

// interval converts an interval; nil if any of its ends is no number.
func interval(iv diagnose.Interval, d units.Dimension, u units.System) *Interval {
	if !numbers(iv.Value, iv.Low, iv.High) {
		return nil
	}
	return &Interval{Value: value(iv.Value, d, u), Low: value(iv.Low, d, u), High: value(iv.High, d, u), Unit: d.Symbol(u)}
}

// inUnit converts an interval into the unit in which a row was written.
func inUnit(iv diagnose.Interval, d units.Dimension, symbol string) *Interval {
	out := Interval{Unit: symbol}
	for _, p := range [...]struct {
		to *float64
		si float64
	}{{&out.Value, iv.Value}, {&out.Low, iv.Low}, {&out.High, iv.High}} {
		v, err := units.Convert(p.si, d, symbol)
		if err != nil || !numbers(v) {
			return nil
		}
		*p.to = significant(v)
	}
	return &out
}
