package units

import (
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Value is a number as a person wrote it, and what it means.
type Value struct {
	SI       float64
	Text     string // as written, without surrounding spaces
	Unit     string // symbol of the unit that held, as this program prints it
	Explicit bool   // the unit was written, not supplied by the System
}

// thousands matches digits that may be meant in groups of three: 1,500 but
// neither 0,500 nor 1500,250.
var thousands = regexp.MustCompile(`^[+-]?[1-9][0-9]{0,2},[0-9]{3}$`)

// Parse reads a decimal number of dimension d with or without a unit; a bare
// number has the unit that d has in s. A comma may be the decimal sign. An
// error is an *Error.
func Parse(text string, d Dimension, s System) (Value, error) {
	return parse(text, d, d.bare(s))
}

// ParseIn is Parse for a bare number whose unit stands elsewhere: symbol, in
// any spelling, or "" for a Number.
func ParseIn(text string, d Dimension, symbol string) (Value, error) {
	u := d.find(symbol)
	if u == nil {
		return Value{}, unknownUnit(symbol, symbol, d)
	}
	return parse(text, d, u)
}

func parse(text string, d Dimension, bare *unit) (Value, error) {
	t := strings.TrimSpace(text)
	if v, ok := feetAndInches(t, d); ok {
		return v, nil
	}
	if v, ok := onATape(t, d, bare); ok {
		return v, nil
	}
	number := leading(t)
	if number == "" {
		return Value{}, notANumber(t, d, bare.symbol)
	}
	v, err := parseNumber(number, t, d)
	if err != nil {
		return Value{}, err
	}
	return withUnit(v, t, strings.TrimSpace(t[len(number):]), d, bare)
}

// feetAndInches reads a length as a tape in feet has it: 12 ft 6 in, or 12' 6". It says
// no to all else, for the other rules to say what is wrong.
func feetAndInches(t string, d Dimension) (Value, bool) {
	if d != Length && d != Diameter {
		return Value{}, false
	}
	feet, inches := d.find("ft"), d.find("in")
	number := leading(t)
	name := strings.TrimLeft(t[len(number):], " ")
	at := strings.IndexAny(name, "0123456789")
	if number == "" || at <= 0 || d.find(strings.TrimSpace(name[:at])) != feet {
		return Value{}, false
	}
	rest := name[at:]
	if b, symbol, ok := fraction(rest); ok && symbol != "" && d.find(strings.TrimSpace(symbol)) == inches && b < 12 {
		if a, err := strconv.ParseUint(number, 10, 16); err == nil {
			return Value{SI: feet.toSI(float64(a)) + inches.toSI(b), Text: t, Unit: feet.symbol, Explicit: true}, true
		}
	}
	small := leading(rest)
	if d.find(strings.TrimSpace(rest[len(small):])) != inches || len(small) == len(rest) {
		return Value{}, false
	}
	a, err := strconv.ParseUint(number, 10, 16)
	if err != nil {
		return Value{}, false
	}
	b, err := parseNumber(small, t, d)
	if err != nil || b >= 12 {
		return Value{}, false
	}
	return Value{SI: feet.toSI(float64(a)) + inches.toSI(b), Text: t, Unit: feet.symbol, Explicit: true}, true
}

// onATape reads a length as a tape in inches has it, 3 1/2, 2-1/2 or 5/8, where the unit
// is inches or feet. It says no to all else, for the other rules to say what is wrong.
func onATape(t string, d Dimension, bare *unit) (Value, bool) {
	if d != Length && d != Diameter {
		return Value{}, false
	}
	v, rest, ok := fraction(t)
	if !ok {
		return Value{}, false
	}
	u, symbol := bare, strings.TrimSpace(rest)
	if symbol != "" {
		u = d.find(symbol)
	}
	if u == nil || u != d.find("in") && u != d.find("ft") {
		return Value{}, false
	}
	return Value{SI: u.toSI(v), Text: t, Unit: u.symbol, Explicit: symbol != ""}, true
}

// fraction is the number at the start of t that is written with a fraction, and what
// follows it.
func fraction(t string) (v float64, rest string, ok bool) {
	whole := 0.0
	digits := func() (n float64, ok bool) {
		after := afterDigits(rest)
		n, err := strconv.ParseFloat(rest[:len(rest)-len(after)], 64)
		rest = after
		return n, err == nil && n < mostOfFraction
	}
	rest = t
	over, ok := digits()
	if !ok {
		return 0, t, false
	}
	if rest != "" && strings.ContainsRune(" -", rune(rest[0])) {
		whole, rest = over, strings.TrimLeft(rest[1:], " ")
		if over, ok = digits(); !ok {
			return 0, t, false
		}
	}
	rest, ok = strings.CutPrefix(rest, "/")
	if !ok {
		return 0, t, false
	}
	under, ok := digits()
	if !ok || over == 0 || over >= under {
		return 0, t, false
	}
	return whole + over/under, rest, true
}

// mostOfFraction is more than any whole number that stands beside a fraction.
const mostOfFraction = 1000

// withUnit applies the unit written behind the number v, or else u.
func withUnit(v float64, text, symbol string, d Dimension, u *unit) (Value, error) {
	out := Value{Text: text, Explicit: symbol != ""}
	if out.Explicit {
		if strings.ContainsAny(symbol[:1], "0123456789_.,+-") {
			return Value{}, &Error{NotANumber, text, d, quoted(text) + " is not one decimal number",
				"write it without gaps, fractions or signs of thousands, like 1500 or 2.5"}
		}
		if u = d.find(symbol); u == nil {
			return Value{}, unknownUnit(text, symbol, d)
		}
	}
	out.Unit, out.SI = u.symbol, u.toSI(v)
	if err := checkRange(out.SI, text, d); err != nil {
		return Value{}, err
	}
	return out, nil
}

// checkRange refuses what no float64 holds and what no thermometer shows.
func checkRange(si float64, text string, d Dimension) error {
	if math.IsInf(si, 0) || math.IsNaN(si) {
		return &Error{OutOfRange, text, d, quoted(text) + " is too large a number", "check the number"}
	}
	if d == Temperature && si < 0 {
		return &Error{OutOfRange, text, d, quoted(text) + " is colder than absolute zero", "check the number and its unit"}
	}
	return nil
}

// minus writes a minus sign as a program writes it.
var minus = strings.NewReplacer("−", "-", "–", "-")

// leading is the number at the start of t, or "". A sign may be a minus or
// the dash that word processors make of one; groups of digits are taken
// together whatever stands between them, for parseNumber to say what is wrong.
// A regular expression would take 40 kB of scratch for each value that finds
// none kept from before.
func leading(t string) string {
	start := afterSign(t)
	rest := afterDigits(start)
	for rest != "" && (rest[0] == '.' || rest[0] == ',') && afterDigits(rest[1:]) != rest[1:] {
		rest = afterDigits(rest[1:])
	}
	if rest == start {
		return ""
	}
	rest = strings.TrimPrefix(rest, ".")
	if rest != "" && (rest[0] == 'e' || rest[0] == 'E') {
		if power := afterSign(rest[1:]); afterDigits(power) != power {
			rest = afterDigits(power)
		}
	}
	return t[:len(t)-len(rest)]
}

func afterSign(t string) string {
	for _, sign := range []string{"+", "-", "−", "–"} {
		if after, found := strings.CutPrefix(t, sign); found {
			return after
		}
	}
	return t
}

func afterDigits(t string) string { return strings.TrimLeft(t, "0123456789") }

// parseNumber reads number, which leading has matched; text is what it
// stands in.
func parseNumber(number, text string, d Dimension) (float64, error) {
	n := minus.Replace(number)
	mantissa, _, _ := strings.Cut(strings.ToLower(n), "e")
	if thousands.MatchString(mantissa) {
		return 0, &Error{Ambiguous, text, d, quoted(text) + " can be read in two ways",
			"write " + strings.Replace(n, ",", "", 1) + " or " + strings.Replace(n, ",", ".", 1)}
	}
	if strings.Count(mantissa, ",")+strings.Count(mantissa, ".") > 1 {
		return 0, &Error{NotANumber, text, d, quoted(text) + " has more than one decimal sign",
			"write the number without signs of thousands, like 1500.5"}
	}
	v, err := strconv.ParseFloat(strings.Replace(n, ",", ".", 1), 64)
	if err != nil {
		return 0, &Error{OutOfRange, text, d, quoted(text) + " is too large a number", "check the number"}
	}
	return v, nil
}

// Ratio is how many times the second unit the first is; 0 if they don't compare.
func Ratio(a, b string, d Dimension) float64 {
	x, err := Parse("1 "+a, d, Metric)
	if err != nil {
		return 0
	}
	y, err := Parse("1 "+b, d, Metric)
	if err != nil {
		return 0
	}
	return x.SI / y.SI
}
