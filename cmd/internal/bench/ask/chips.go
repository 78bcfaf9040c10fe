package ask

import (
	"cmp"
	"strconv"
	"strings"

	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/tell"
	"lostair/diagnose/duct/trade"
	"lostair/readings/units"
)

// Sizes between which a shop's pipe and hose lie as a rule, m.
const smallest, largest = 0.063, 0.26

// tradeSizes are the sizes that are offered for a tap, in the file's unit.
func tradeSizes(u units.System) []string {
	var out []string
	for _, x := range trade.Sizes(u) {
		if x >= smallest-1e-9 && x < largest {
			out = append(out, units.FormatBare(x, units.Diameter, u))
		}
	}
	return out
}

func sizeChips(u units.System, now string) []pages.Chip {
	var out []pages.Chip
	for _, s := range tradeSizes(u) {
		out = append(out, pages.Chip{Value: s, Text: s + " " + pages.Unit(units.Diameter, u), Chosen: s == now})
	}
	return out
}

// withOwn adds a size that the trade's list lacks.
func withOwn(list []pages.Chip, size string, u units.System) []pages.Chip {
	if size == "" || size == "none" || chosen(list) {
		return list
	}
	return append(list, pages.Chip{Value: size, Text: tell.SizeWords(size, u, ""), Chosen: true})
}

func sidesExample(u units.System) string {
	if u == units.US {
		return "8 x 4"
	}
	return "200 x 100"
}

func chosen(list []pages.Chip) bool {
	for _, c := range list {
		if c.Chosen {
			return true
		}
	}
	return false
}

func materialChips(now string, hose bool) []pages.Chip {
	var out []pages.Chip
	for _, m := range trade.Materials() {
		if hose || m.Name != "flexible" {
			out = append(out, pages.Chip{Value: m.Name, Text: tell.MaterialWords(m.Name), Note: m.What, Chosen: m.Name == now})
		}
	}
	return out
}

func entersChips(now string) []pages.Chip {
	now = cmp.Or(strings.TrimSuffix(now, "°"), "straight")
	out := []pages.Chip{{Value: "straight", Text: "straight on", Note: "it is the run that goes on", Chosen: now == "straight"}}
	for _, a := range []string{"30", "45", "60", "90"} {
		note := ""
		if a == "90" {
			note = "a plain tee"
		}
		out = append(out, pages.Chip{Value: a, Text: "at " + a + "°", Note: note, Chosen: a == now})
	}
	return out
}

// The hood of a machine as a rule loses about as much as the air's own velocity
// pressure. Common practice, no source.
const machineHood = "1.0"

func hoodChips(now string) []pages.Chip {
	out := []pages.Chip{{Value: machineHood, Text: "a machine's own hood", Note: "loses about one velocity pressure: common practice, no source", Chosen: now == machineHood}}
	for _, h := range trade.Hoods() {
		out = append(out, pages.Chip{Value: h.Name, Text: tell.HoodWords(h.Name), Note: h.What, Chosen: h.Name == now})
	}
	return out
}

func countChips(now int, most int) []pages.Chip {
	var out []pages.Chip
	for n := 0; n <= most; n++ {
		out = append(out, pages.Chip{Value: strconv.Itoa(n), Text: tell.NumberWord(n), Chosen: n == now})
	}
	return out
}

func sharpChips(now string) []pages.Chip {
	now = cmp.Or(now, "1.5")
	return []pages.Chip{
		{Value: "1.5", Text: "a usual bend", Note: "radius 1.5 times its size", Chosen: now == "1.5"},
		{Value: "2.5", Text: "a long sweep", Note: "2.5 times", Chosen: now == "2.5"},
		{Value: "1.0", Text: "tight", Note: "1 times", Chosen: now == "1.0" || now == "1"},
		{Value: "0.75", Text: "very tight", Note: "0.75 times", Chosen: now == "0.75"},
	}
}

// carries is the flow that carries dust at 20 m/s (4,000 ft/min) in a pipe of a
// size: the rule that most tables of needs come from. Common practice, no source.
func carries(diameter float64) float64 { return 20 * 0.7854 * diameter * diameter }

// usualChips offer what a machine of that name usually needs: the least and the most.
func usualChips(name, now string, u units.System) []pages.Chip {
	x, ok := trade.UsualOf(name, u)
	if !ok {
		return nil
	}
	var out []pages.Chip
	for i, v := range []float64{x.Low, x.High} {
		c := pages.Chip{Value: roundFlow(v, u), Note: []string{"the least", "the most"}[i] + " that " + x.Named(u) + " usually needs: " + x.Status}
		c.Text, c.Chosen = c.Value+" "+pages.Unit(units.Flow, u), c.Value == now
		if x.Low == x.High {
			c.Note = "what " + x.Named(u) + " usually needs: " + x.Status
		}
		if i == 0 || out[0].Value != c.Value {
			out = append(out, c)
		}
	}
	return out
}

// compressedChips are shares that can be told by eye. Own choice.
func compressedChips(now string) []pages.Chip {
	var out []pages.Chip
	for _, c := range []pages.Chip{{Value: "10%", Text: "a little", Note: "10 %"}, {Value: "20%", Text: "a fifth"}, {Value: "30%", Text: "a third", Note: "30 %"}} {
		c.Chosen = strings.ReplaceAll(now, " ", "") == c.Value
		out = append(out, c)
	}
	return out
}

func liningChips(now string) []pages.Chip {
	return []pages.Chip{{Value: "ribbed", Text: "ribbed", Note: "one feels the wires inside", Chosen: now != "smooth"}, {Value: "smooth", Text: "smooth", Note: "its wires are covered", Chosen: now == "smooth"}}
}

// roundFlow is a flow to two and a half digits, in the file's units.
func roundFlow(si float64, u units.System) string {
	v := units.Flow.FromSI(u, si)
	step := 10.0
	if v < 200 {
		step = 5
	}
	return strconv.FormatFloat(float64(int(v/step+0.5))*step, 'f', -1, 64)
}
