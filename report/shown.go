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

// withUnit is shown with its unit.
func withUnit(v float64, unit string) string {
	switch unit {
	case "":
		return shown(v)
	case "x":
		return shown(v) + " times"
	}
	return shown(v) + " " + unit
}

// span is an interval's two ends.
func (iv Interval) span() string { return shown(iv.Low) + " to " + shown(iv.High) }

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
