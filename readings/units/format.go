package units

import (
	"math"
	"strconv"
	"strings"
)

// mostDecimals keeps what is nothing but rounding error from being printed.
const mostDecimals = 6

// Format writes si in the unit of d in s: three significant digits (a bare number,
// a density and a speed four), whole numbers in full, no trailing zeros.
func Format(si float64, d Dimension, s System) string {
	if u := d.Symbol(s); u != "" {
		return FormatBare(si, d, s) + " " + u
	}
	return FormatBare(si, d, s)
}

// FormatBare is Format without the symbol.
func FormatBare(si float64, d Dimension, s System) string {
	return significant(d.FromSI(s, si), dimensions[d].digits)
}

func significant(v float64, digits int) string {
	switch {
	case v == 0:
		return "0"
	case math.IsNaN(v), math.IsInf(v, 0):
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	decimals := digits - 1 - int(math.Floor(math.Log10(math.Abs(v))))
	t := strconv.FormatFloat(v, 'f', min(max(decimals, 0), mostDecimals), 64)
	if strings.Contains(t, ".") {
		t = strings.TrimRight(strings.TrimRight(t, "0"), ".")
	}
	if t == "-0" {
		return "0"
	}
	return t
}

// Decimal writes v as it is, without an exponent, so that it is read back exactly.
func Decimal(v float64) string {
	if a := math.Abs(v); a > 0 && (a < 1e-9 || a >= 1e15) {
		return strconv.FormatFloat(v, 'g', -1, 64) // hundreds of noughts say nothing
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// Brief is Decimal with six significant digits at most.
func Brief(v float64) string {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
	return Decimal(v)
}
