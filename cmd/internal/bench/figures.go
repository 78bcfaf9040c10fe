package bench

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"lostair/readings/units"
)

// symbol writes a unit as people do.
func symbol(s string) string {
	return strings.NewReplacer("m3", "m³", "cm2", "cm²", "in2", "in²", "ft3", "ft³", "inH2O", "in H₂O", "mmH2O", "mm H₂O", "degC", "°C", "degF", "°F").Replace(s)
}

func unitOf(d units.Dimension, u units.System) string { return symbol(d.Symbol(u)) }

// unitWords is unitOf in a sentence: "in in" can't be read.
func unitWords(d units.Dimension, u units.System) string {
	switch s := unitOf(d, u); s {
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

// short is a number to three figures.
func short(v float64) string {
	t := fmt.Sprintf("%.3g", v)
	if strings.Contains(t, "e") {
		t = fmt.Sprintf("%.0f", v)
	}
	return t
}

func minus(s string) string { return symbol(dash(s)) }

// dash writes the minus of a number as people print it, and leaves the hyphens of ids.
func dash(s string) string { return signs.ReplaceAllString(s, "${1}−${2}") }

var signs = regexp.MustCompile(`(^|[ (])-([0-9])`)

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func atoi(s string) int {
	n, _ := strconv.Atoi(strings.TrimSpace(s))
	return n
}
