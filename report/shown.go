package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// shown writes a value for a person: three significant digits, whole numbers
// in full.
func shown(v float64) string {
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

// places is how many decimals show a value that is known to an interval so
// wide: the interval is then 5 to 50 steps wide, and never finer than whole
// numbers need. It is -1 if the width says nothing.
func places(width float64) int {
	if !(width > 0) || math.IsInf(width, 0) {
		return -1
	}
	return min(max(-int(math.Floor(math.Log10(width/5*(1+1e-9)))), 0), 6)
}

// fixed writes a value with so many decimals, trailing zeros included; with -1
// it is shown. What rounds to nothing has no sign.
func fixed(v float64, places int) string {
	if places < 0 {
		return shown(v)
	}
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

// twoFigures is v to two figures.
func twoFigures(v float64) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 2, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// withUnit is shown with its unit.
func withUnit(v float64, unit string) string {
	return inWord(shown(v), unit)
}

func inWord(number, unit string) string {
	switch unit {
	case "":
		return number
	case "x":
		return number + " times"
	}
	return number + " " + unit
}

// places is how many decimals an interval's three numbers have.
func (iv Interval) places() int { return places(math.Abs(iv.High - iv.Low)) }

// mid is an interval's value, to the digits that it is known to.
func (iv Interval) mid() string { return fixed(iv.Value, iv.places()) }

// span is an interval's two ends.
func (iv Interval) span() string {
	return fixed(iv.Low, iv.places()) + " to " + fixed(iv.High, iv.places())
}

// places is how many decimals a reading beside its expectation has.
func (c Check) places() int { return places(2 * offAt * c.Sigma) }

// gates says which gates are open.
func gates(open string) string {
	switch open {
	case "all":
		return "all gates open"
	case "none":
		return "all gates shut"
	}
	if n := strings.Count(open, "+"); n > 0 {
		return fmt.Sprintf("gates %s open", strings.ReplaceAll(open, "+", " + "))
	}
	return "gate " + open + " open"
}

// quantity is a quantity's name in plain words.
func quantity(q string) string { return strings.ReplaceAll(q, "_", " ") }

// lines names lines of the readings file.
func lines(ns []int) string {
	if len(ns) == 0 {
		return ""
	}
	s := each(ns, strconv.Itoa)
	if len(s) > 4 {
		return fmt.Sprintf("lines %d-%d", ns[0], ns[len(ns)-1])
	}
	if len(s) == 1 {
		return "line " + s[0]
	}
	return "lines " + strings.Join(s, ", ")
}
