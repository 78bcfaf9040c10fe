package tell

import (
	"math"

	"lostair/cmd/internal/runs"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/edit"
	"lostair/readings/units"
)

// ValueIn is the value of a key of a row as one answers for it: the size of a
// rectangular duct is asked as one thing and written as width and height.
func ValueIn(row edit.Value, key string) edit.Value {
	w, h := row.Get("width"), row.Get("height")
	if key != "diameter" || row.Has(key) || w.Form != edit.Single || h.Form != edit.Single {
		return row.Get(key)
	}
	return edit.Value{Text: w.Text + " x " + h.Text, Rows: []edit.Value{w, h}}
}

// SizeWords is a size with its unit, of a rectangle both sides.
func SizeWords(text string, u units.System, otherwise string) string {
	if w, h, ok := runs.SidesOf(text); ok {
		return amountWords(w, units.Diameter, u, "?") + " by " + amountWords(h, units.Diameter, u, "?")
	}
	return amountWords(text, units.Diameter, u, otherwise)
}

// SizeOf is a size as the diameter of a circle as large, m.
func SizeOf(text string, u units.System) (float64, bool) {
	w, h, ok := runs.SidesOf(text)
	if !ok {
		v, err := units.Parse(text, units.Diameter, u)
		return v.SI, err == nil
	}
	a, err := units.Parse(w, units.Diameter, u)
	b, err2 := units.Parse(h, units.Diameter, u)
	o := duct.Opening{Width: a.SI, Height: b.SI}
	return math.Sqrt(4 / math.Pi * o.Area()), err == nil && err2 == nil && o.Area() > 0
}
