package round

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"lostair/readings"
	"lostair/readings/units"
)

// ErrNoValue says that nothing was typed.
var ErrNoValue = errors.New("no value was given; type what the instrument shows, or skip this reading")

// Typed turns what a person typed into the row that answers a question: a number
// with or without a unit, decimal point or comma, or yes or no. unit is what a bare
// number has; "": the system's. explicit is whether a unit was typed.
func (r *Round) Typed(q *Question, text, unit string) (row readings.Row, explicit bool, err error) {
	row = q.Row
	text = strings.TrimSpace(strings.NewReplacer("−", "-", "–", "-").Replace(text))
	if text == "" {
		return row, false, ErrNoValue
	}
	if row.Look != "" && !row.Look.Number() {
		switch strings.ToLower(text) {
		case "yes", "y":
			row.Value, row.Typed = 1, "yes"
		case "no", "n":
			row.Value, row.Typed = 0, "no"
		default:
			return row, false, fmt.Errorf("%q is no answer; type yes or no, or skip if you can't say", text)
		}
		return row, false, nil
	}
	dim := row.Dimension()
	if unit == "" {
		unit = dim.Symbol(r.System.Units)
	}
	if dim == units.Pressure {
		text = waterColumn(text)
	}
	v, err := units.ParseIn(text, dim, unit)
	if err != nil {
		return row, false, err
	}
	if math.Abs(v.SI) > 1e6 {
		return row, false, fmt.Errorf("%s is more than any instrument shows; correct the value or its unit", text)
	}
	row.Value, row.Unit = v.SI, v.Unit
	row.Typed = number(text)
	if again, err := units.ParseIn(row.Typed, dim, v.Unit); err != nil || math.Abs(again.SI-v.SI) > 1e-9*math.Abs(v.SI) {
		row.Typed = "" // written otherwise, like 1e3: the value itself is kept
	}
	return row, v.Explicit, nil
}

// waterColumn writes out what people say for inches or millimetres of water on a
// gauge: "4.9 in".
func waterColumn(text string) string {
	for _, u := range []string{"in.", "in", `"`, "mm", "cm"} {
		if n, ok := strings.CutSuffix(strings.ToLower(text), u); ok && strings.TrimSpace(n) == strings.TrimSpace(number(text)) {
			return n + strings.Trim(strings.Replace(u, `"`, "in", 1), ".") + "H2O"
		}
	}
	return text
}

// number is the number that a text begins with.
func number(text string) string {
	end := strings.IndexFunc(text, func(c rune) bool { return !strings.ContainsRune("+-0123456789.,", c) })
	if end < 0 {
		return text
	}
	return strings.TrimSpace(text[:end])
}
