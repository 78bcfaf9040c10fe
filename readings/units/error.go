package units

import (
	"fmt"
	"strings"
)

// Fault is what is wrong with a text that should be a value.
type Fault uint8

const (
	NotANumber  Fault = iota + 1 // no decimal number stands there
	Empty                        // nothing stands there
	Ambiguous                    // 1,500: one and a half or fifteen hundred
	UnknownUnit                  // not a unit of the dimension
	OutOfRange                   // no such number or temperature
)

// Error says what is wrong with a text and what to write instead.
type Error struct {
	Fault     Fault
	Text      string // as written
	Dimension Dimension
	What      string // what is wrong, with the text as written; no full stop
	Do        string // what to do
}

// Error is "what; do".
func (e *Error) Error() string { return e.What + "; " + e.Do }

func notANumber(text string, d Dimension, unit string) error {
	if text == "" {
		return &Error{Empty, text, d, "the " + d.String() + " is missing", "write " + example(unit)}
	}
	return &Error{NotANumber, text, d, quoted(text) + " is not a decimal number", "write " + example(unit)}
}

// unknownUnit says which units d has, and what symbol measures if it is the
// unit of something else.
func unknownUnit(text, symbol string, d Dimension) error {
	e := &Error{Fault: UnknownUnit, Text: text, Dimension: d}
	if d == Number {
		e.What, e.Do = "this number has no unit, yet "+quoted(symbol)+" follows it", "write the number alone"
		return e
	}
	e.What = fmt.Sprintf("%s is not a unit of %s", quoted(symbol), d.measured())
	if o := measuredBy(symbol); o != Number {
		e.What = fmt.Sprintf("%s is a unit of %s, not of %s", quoted(symbol), o.measured(), d.measured())
	}
	e.Do = "use " + orList(Symbols(d))
	if u := Length.find(symbol); d == Pressure && u != nil {
		if water := d.find(u.symbol + "H2O"); water != nil {
			e.Do = "a column of water is written " + water.symbol + "; " + e.Do
		}
	}
	return e
}

// measuredBy is the first dimension that has symbol, or Number.
func measuredBy(symbol string) Dimension {
	for d := range dimensions {
		if Dimension(d) != Number && Dimension(d).find(symbol) != nil {
			return Dimension(d)
		}
	}
	return Number
}

// measured is the word for d where its units are meant: mm measure lengths,
// not diameters alone.
func (d Dimension) measured() string {
	if d == Diameter || d == Roughness {
		return Length.String()
	}
	return d.String()
}

// example is a number with and without its unit.
func example(unit string) string {
	if unit != "" {
		return "a number, like 2.5 or 2.5 " + unit
	}
	return "a number, like 2.5"
}

// orList is "a, b or c".
func orList(s []string) string {
	if len(s) == 1 {
		return s[0]
	}
	return strings.Join(s[:len(s)-1], ", ") + " or " + s[len(s)-1]
}

// quoted shows text as written, cut if it is long; %q would turn the inch
// sign into \".
func quoted(text string) string {
	r := []rune(strings.ToValidUTF8(text, "\uFFFD"))
	if len(r) > 40 {
		r = append(r[:40], '…')
	}
	for i, c := range r {
		if c < ' ' || c == 0x7f {
			r[i] = '\uFFFD'
		}
	}
	if q := string(r); strings.Contains(q, `"`) {
		return "‘" + q + "’"
	}
	return `"` + string(r) + `"`
}
