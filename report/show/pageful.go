package show

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Numeral is a number as a page shows it: with a true minus sign.
func Numeral(v float64) string { return Minus(Shown(Finite(v))) }

// Minus gives numbers a true minus in place of a hyphen.
func Minus(s string) string { return strings.ReplaceAll(s, "-", "−") }

var unitSigns = strings.NewReplacer("m3/h", "m³/h", "kg/m3", "kg/m³", " cm2", " cm²", " in2", " in²", "lb/ft3", "lb/ft³",
	" degC", " °C", " degF", " °F", "inH2O", "inH₂O", "mmH2O", "mmH₂O")

// Symbol is a unit as a page shows it.
func Symbol(u string) string {
	return unitSigns.Replace(u)
}

// Pretty is text of the report as a page shows it: units with their signs, no
// break before a percent sign.
func Pretty(s string) string { return strings.ReplaceAll(Symbol(s), " %", "\u00a0%") }

// Spaced joins ids as they are shown.
func Spaced(ids string) string { return strings.ReplaceAll(ids, "+", " + ") }

// Briefly is spaced, but of a setting of many gates the first few: in a column
// they would fill a screen.
func Briefly(open string) string {
	list := strings.Split(open, "+")
	if len(list) <= MostGates {
		return Spaced(open)
	}
	return fmt.Sprintf("%s + %d more", strings.Join(list[:3], " + "), len(list)-3)
}

// Coordinate is a place on a drawing, short to save bytes.
func Coordinate(v float64) string {
	r := math.Round(v*10) / 10
	if r == 0 || math.IsNaN(r) || math.IsInf(r, 0) {
		return "0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// NiceStep is the step of an axis of about n steps that ends at most: 1, 2 or
// 5 times a power of ten.
func NiceStep(most float64, n int) float64 {
	raw := most / float64(n)
	if !(raw > 0) || math.IsInf(raw, 0) {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, k := range [...]float64{1, 2, 5} {
		if k*p >= raw*0.999 {
			return k * p
		}
	}
	return 10 * p
}
