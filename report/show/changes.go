package show

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// RatioText is a factor as a change.
func RatioText(v float64) string { return Change(v) + " %" }

// Change is a factor as a change in per cent: a tenth below ten, and no sign
// before nothing.
func Change(v float64) string {
	p := 100 * (v - 1)
	text := fmt.Sprintf("%+.1f", p)
	if math.Abs(p) >= 9.95 {
		text = fmt.Sprintf("%+.0f", p)
	}
	if strings.Trim(text, "+-0.") == "" {
		return "0"
	}
	return text
}

// Number is a value in a CSV.
func Number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// ChangeOf is a relative change as text.
func ChangeOf(before, after float64) string {
	if before == 0 {
		return ""
	}
	d := (after - before) / math.Abs(before)
	if before < 0 {
		d = -d // more suction is more
	}
	return RatioText(1 + d)
}

// Even shows a value to three figures, zeros at the end included, so that a
// column lines up.
func Even(v float64) string {
	switch a := math.Abs(v); {
	case a == 0:
		return "0"
	case a >= 99.95:
		return fmt.Sprintf("%.0f", v)
	case a >= 9.995:
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.2f", v)
}

// About shows three figures at most, of large values too.
func About(v float64) string {
	if math.Abs(v) >= 1000 {
		k := math.Pow(10, math.Floor(math.Log10(math.Abs(v)))-2)
		return fmt.Sprintf("%.0f", math.Round(v/k)*k)
	}
	return Shown(v)
}
