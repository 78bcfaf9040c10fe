package pages

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"lostair/readings/units"
)

// Symbol writes the units of a text as people do.
func Symbol(s string) string {
	return strings.NewReplacer("m3", "m³", "cm2", "cm²", "in2", "in²", "ft3", "ft³", "inH2O", "in H₂O", "mmH2O", "mm H₂O", "degC", "°C", "degF", "°F").Replace(s)
}

// Unit is the unit of an amount, as people write it.
func Unit(d units.Dimension, u units.System) string { return Symbol(d.Symbol(u)) }

// UnitWords is Unit in a sentence: "in in" can't be read.
func UnitWords(d units.Dimension, u units.System) string {
	switch s := Unit(d, u); s {
	case "in":
		return "inches"
	case "in H₂O":
		return "inches of water"
	case "ft":
		return "feet"
	default:
		return s
	}
}

// Short is a number to three figures.
func Short(v float64) string {
	t := fmt.Sprintf("%.3g", v)
	if strings.Contains(t, "e") {
		t = fmt.Sprintf("%.0f", v)
	}
	return t
}

// Minus writes the signs and the units of a text as people do.
func Minus(s string) string { return Symbol(dash(s)) }

// dash writes the minus of a number as people print it, and leaves the hyphens of ids.
func dash(s string) string { return signs.ReplaceAllString(s, "${1}−${2}") }

var signs = regexp.MustCompile(`(^|[ (])-([0-9])`)

// Plural is a count of things, such as "2 runs".
func Plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// Whole is a whole number as it was typed; 0 if it is none.
func Whole(s string) int {
	n, _ := strconv.Atoi(strings.TrimSpace(s))
	return n
}
