package bench

import (
	"math"

	"lostair/cmd/internal/runs"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/edit"
	"lostair/readings/units"
)

// valueIn is the value of a key of a row as one answers for it: the size of a
// rectangular duct is asked as one thing and written as width and height.
func valueIn(row edit.Value, key string) edit.Value {
	w, h := row.Get("width"), row.Get("height")
	if key != "diameter" || row.Has(key) || w.Form != edit.Single || h.Form != edit.Single {
		return row.Get(key)
	}
	return edit.Value{Text: w.Text + " x " + h.Text, Rows: []edit.Value{w, h}}
}

// sizeWords is a size with its unit, of a rectangle both sides.
func sizeWords(text string, u units.System, otherwise string) string {
	if w, h, ok := runs.SidesOf(text); ok {
		return amountWords(w, units.Diameter, u, "?") + " by " + amountWords(h, units.Diameter, u, "?")
	}
	return amountWords(text, units.Diameter, u, otherwise)
}

// sizePairs are the keys of a row that hold a size as it was typed.
func sizePairs(text string) []string {
	if w, h, ok := runs.SidesOf(text); ok {
		return []string{"width", amountText(w), "height", amountText(h)}
	}
	return []string{"diameter", amountText(text)}
}

// openingText writes the machine's own port as it was typed.
func openingText(text string) string {
	if w, h, ok := runs.SidesOf(text); ok {
		return edit.Row("width", amountText(w), "height", amountText(h))
	}
	return amountOr(text)
}

func openingSize(v edit.Value) string {
	if v.Form == edit.Keyed {
		return v.Get("width").Text + " x " + v.Get("height").Text
	}
	return v.Text
}

// sizeOf is a size as the diameter of a circle as large, m.
func sizeOf(text string, u units.System) (float64, bool) {
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

// ownSize is the size of a port: its own, else that of the run that it is on.
func (d *desk) ownSize(port edit.Value) string {
	ducts := d.doc.Root.Get("ducts")
	size := openingSize(port.Get("opening"))
	if i := ducts.Row(port.Get("duct").Text); i >= 0 && size == "" {
		size = valueIn(ducts.Rows[i], "diameter").Text
	}
	return size
}
