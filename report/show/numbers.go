// Package show holds how numbers, units, gates and lists are written for people,
// amounts and intervals in the reader's units (amounts.go), the words of faults and
// the usual cautions, and the page of text that reports are set on. It knows no report.
package show

import (
	"math"
	"strconv"
	"strings"
)

// A reading is off if a sound system gives one like it in less than 5 cases of
// 100, and far off at twice that distance.
const (
	OffAt    = 1.96
	FarOffAt = 2 * OffAt
)

// Shown writes a value for a person: three significant digits, whole numbers
// in full.
func Shown(v float64) string {
	if v == 0 {
		return "0"
	}
	decimals := 2 - int(math.Floor(math.Log10(math.Abs(v))))
	s := strconv.FormatFloat(v, 'f', min(max(decimals, 0), 6), 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// Places is how many decimals show a value that is known to an interval so
// wide: the interval is then 5 to 50 steps wide, and never finer than whole
// numbers need. It is -1 if the width says nothing.
func Places(width float64) int {
	if !(width > 0) || math.IsInf(width, 0) {
		return -1
	}
	return min(max(-int(math.Floor(math.Log10(width/5*(1+1e-9)))), 0), 6)
}

// Step is to what the larger end of a range is rounded, which would have more than three
// figures: tens from 1000 on, hundreds from 10,000. It is 0, not at all, where the range
// is less than five such steps wide.
func Step(low, high float64) float64 {
	most := math.Max(math.Abs(low), math.Abs(high))
	if !(most >= 999.5) || math.IsInf(most, 0) {
		return 0
	}
	step := math.Pow(10, math.Floor(math.Log10(most*(1+1e-9)))-2)
	if step = math.Max(step, 10); math.Abs(high-low) < 5*step {
		return 0
	}
	return step
}

// Ranged writes a number of a range with that step in three figures; one that has no
// more, or any if step is 0, as otherwise has it.
func Ranged(v, step float64, otherwise func(v float64) string) string {
	for step > 1 && math.Abs(v) < 99.95*step {
		step /= 10
	}
	if step <= 1 {
		return otherwise(v)
	}
	return Fixed(math.Round(v/step)*step, 0)
}

// Fixed writes a value with so many decimals, trailing zeros included; with -1
// it is shown. What rounds to nothing has no sign.
func Fixed(v float64, places int) string {
	if places < 0 {
		return Shown(v)
	}
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

// TwoFigures is v to two figures.
func TwoFigures(v float64) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 2, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// WithUnit is shown with its unit.
func WithUnit(v float64, unit string) string {
	return InWord(Shown(v), unit)
}

// InWord is a number, written already, with its unit; "x" is times.
func InWord(number, unit string) string {
	switch unit {
	case "":
		return number
	case "x":
		return number + " times"
	}
	return number + " " + unit
}
