package units

import (
	"strings"
	"unicode"
)

// String is the plain word for d, for messages.
func (d Dimension) String() string { return dimensions[d].name }

// Dimensions lists all dimensions, Number first.
func Dimensions() []Dimension {
	out := make([]Dimension, len(dimensions))
	for i := range out {
		out[i] = Dimension(i)
	}
	return out
}

// Symbol is the unit that a bare number of d has in s; "" for Number.
func (d Dimension) Symbol(s System) string {
	if s == US {
		return dimensions[d].us
	}
	return dimensions[d].metric
}

// Symbol is the unit in which the program writes q: that of its dimension, except for a
// barometer, which has one of its own.
func (q Quantity) Symbol(s System) string {
	if q != Barometer {
		return q.Dimension().Symbol(s)
	}
	if s == US {
		return "inHg"
	}
	return "hPa"
}

// Lookup gives the symbol as this program prints it for any spelling of a
// unit of d.
func Lookup(symbol string, d Dimension) (canonical string, ok bool) {
	if u := d.find(symbol); u != nil {
		return u.symbol, true
	}
	return "", false
}

// Symbols lists the units of d as printed, in the order of the table; none
// for Number.
func Symbols(d Dimension) []string {
	var out []string
	for _, u := range dimensions[d].units {
		if u.symbol != "" {
			out = append(out, u.symbol)
		}
	}
	return out
}

func (d Dimension) exactly(symbol string) *unit {
	row := dimensions[d].units
	for i := range row {
		if row[i].symbol == symbol {
			return &row[i]
		}
	}
	return nil
}

// find is the unit of d with that symbol or spelling, or nil. No two units
// of one dimension differ in case alone, so case is ignored; a test holds
// the table to that.
func (d Dimension) find(symbol string) *unit {
	if u := d.exactly(symbol); u != nil {
		return u
	}
	key := fold(symbol)
	row := dimensions[d].units
	for i := range row {
		if fold(row[i].symbol) == key {
			return &row[i]
		}
		for _, s := range row[i].spelled {
			if s == key {
				return &row[i]
			}
		}
	}
	return nil
}

// signs are characters that stand for others in a unit.
var signs = strings.NewReplacer(
	"²", "2", "³", "3", "₂", "2", "^", "", "**", "", "°", "deg", "º", "deg", "℃", "degc", "℉", "degf",
	"″", `"`, "”", `"`, "“", `"`, "′", "'", "’", "'", "‘", "'",
	".", "", "⁄", "/", "∕", "/", "％", "%",
)

// fold makes spellings of a unit that mean the same the same: lower case, no
// spaces or dots, plain digits and quotes.
func fold(symbol string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return unicode.ToLower(r)
	}, signs.Replace(symbol))
}
