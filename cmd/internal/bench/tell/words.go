package tell

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"lostair/cmd/internal/bench/pages"
	"lostair/diagnose/duct/edit"
	"lostair/readings/units"
)

// amountWords is an amount with its unit, as the file has it, or otherwise.
func amountWords(text string, d units.Dimension, u units.System, otherwise string) string {
	if text == "" {
		return otherwise
	}
	v, err := units.Parse(text, d, u)
	if err != nil || v.Explicit {
		return text
	}
	return text + " " + pages.Symbol(d.Symbol(u))
}

var materialNames = map[string]string{
	"smooth": "smooth tube", "pvc": "plastic pipe", "galvanised": "galvanised pipe", "spiral": "spiral pipe", "flexible": "hose",
}

// MaterialWords says what a run is made of.
func MaterialWords(text string) string {
	return cmp.Or(materialNames[text], text, "what is it made of?")
}

func compressedWords(text string) string {
	if text == "" {
		return "stretched out"
	}
	return amountWords(text, units.Share, units.Metric, "") + " shorter than stretched out"
}

func liningWords(text string) string {
	if text == "smooth" {
		return "smooth inside"
	}
	return "ribbed inside"
}

// fittingWords counts the elbows of a run by their angle, and what else it has.
func fittingWords(v edit.Value) string {
	if len(v.Rows) == 0 {
		return "no bends"
	}
	var parts []string
	for _, f := range v.Rows {
		n := max(1, pages.Whole(f.Get("count").Text))
		switch {
		case f.Has("elbow"):
			sharp := ""
			if r := f.Get("radius").Text; r != "" && r != "1.5" {
				sharp = ", radius " + r + " × its size"
			}
			parts = append(parts, fmt.Sprintf("%s %s° bend%s%s", NumberWord(n), strings.TrimSuffix(f.Get("elbow").Text, "°"), plus(n), sharp))
		default:
			parts = append(parts, fmt.Sprintf("%s %s", NumberWord(n), cmp.Or(f.Get("what").Text, "other fitting"))+plus(n))
		}
	}
	return strings.Join(parts, " and ")
}

func plus(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}

// NumberWord is a count in words, as far as six.
func NumberWord(n int) string {
	words := [...]string{"no", "one", "two", "three", "four", "five", "six"}
	if n >= 0 && n < len(words) {
		return words[n]
	}
	return strconv.Itoa(n)
}

func entersWords(text string) string {
	switch text {
	case "", "straight":
		return "straight on"
	}
	return "at " + strings.TrimSuffix(text, "°") + "°"
}

// GateOf is a gate's id and whether it stands at the run's downstream end.
func GateOf(v edit.Value) (id string, downstream bool) {
	if v.Form == edit.Keyed {
		return v.Get("id").Text, v.Get("at").Text == "downstream"
	}
	return v.Text, false
}

func gateWords(v edit.Value) string {
	id, down := GateOf(v)
	switch {
	case id == "":
		return "no gate"
	case down:
		return "gate " + id + " at its collector end"
	}
	return "gate " + id + " at its far end"
}

func tapWords(v edit.Value, u units.System) string {
	if len(v.Keys) == 0 {
		return "no hole for the gauge"
	}
	var parts []string
	for _, e := range v.Keys {
		parts = append(parts, "hole "+e.Key+" "+amountWords(e.Value.Text, units.Length, u, "?")+" from its far end")
	}
	return strings.Join(parts, ", ")
}

var hoodNames = map[string]string{"plain": "a plain pipe end", "flanged": "a flanged end", "tapered": "a tapered hood", "cone": "a cone", "bellmouth": "a rounded mouth",
	"grinding": "a grinding hood", "grinding-tapered": "a grinding hood that tapers"}

// HoodWords says how air enters a machine's hood.
func HoodWords(text string) string {
	if text == "" {
		return "what kind of hood?"
	}
	if n, ok := hoodNames[text]; ok {
		return n
	}
	return "a machine's own hood (loss " + text + ")"
}

func openingWords(v edit.Value, u units.System) string {
	switch v.Form {
	case edit.Empty:
		return "as wide as the pipe"
	case edit.Keyed:
		return amountWords(v.Get("width").Text, units.Diameter, u, "?") + " by " + amountWords(v.Get("height").Text, units.Diameter, u, "?")
	}
	return amountWords(v.Text, units.Diameter, u, "?")
}

func fanWords(v edit.Value) string {
	switch {
	case v.Get("curve").Form == edit.List:
		return "a curve of " + pages.Plural(len(v.Get("curve").Rows), "point")
	case v.Has("most_air"):
		return "only its most air and most suction are known"
	case v.Has("motor"):
		return "only its motor and wheel are known"
	}
	return "what do you know of it?"
}

func dropWords(name string, v edit.Value, u units.System) string {
	if v.Form == edit.Empty {
		return "No " + strings.ToLower(name)
	}
	if v.Form == edit.Single {
		return name + ", its loss a guess"
	}
	return name + ": " + amountWords(v.Get("drop").Text, units.Pressure, u, "how much?") + " at " + amountWords(v.Get("at").Text, units.Flow, u, "what flow?")
}

func airWords(v edit.Value) string {
	if v.Form == edit.Empty {
		return "standard air"
	}
	return "its air as measured"
}
