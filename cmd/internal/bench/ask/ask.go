package ask

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/tell"
	"lostair/diagnose/duct/edit"
	"lostair/diagnose/duct/keys"
	"lostair/readings/units"
)

// question asks for one thing of the shop.
type question struct {
	Title, Ask, Hint    string
	List, Row, ID, Key  string
	Was                 string // what stood there when it was asked
	Chips               []pages.Chip
	Typed               *pages.Typed
	Parts               []pages.Part // of an answer that has several
	Problems            []pages.Telling
	Clash               *clash
	Back                string
	Optional            string // the button that leaves it out; "": it is needed
	Submit              string
	Unsure              string // what follows from not knowing
	Extra, Named, Table string
}

// clash is what somebody else has set meanwhile.
type clash struct{ Theirs, Yours string }

// questionAt makes the question about a place.
func questionAt(d *desk.Desk, p place) (*question, error) {
	u := d.Units()
	q := &question{List: p.list, Row: strconv.Itoa(p.row), ID: p.id, Key: p.key, Was: canon(p.value), Back: d.Base + strings.Replace(backTo(d, p), "told=saved", "", 1), Submit: "Take it"}
	of := cmp.Or(p.id, "this run")
	number := func(dim units.Dimension) *pages.Typed {
		return &pages.Typed{Value: p.value.Text, Unit: pages.Unit(dim, u), Number: true, Label: "Typed, in " + pages.UnitWords(dim, u) + ", or with its own unit"}
	}
	switch p.list + ":" + p.key {
	case ":name":
		q.Title, q.Ask, q.Typed = "The shop's name", "What do you call the shop?", &pages.Typed{Value: p.value.Text, Label: "Name"}
	case ":collector.inlet":
		q.Title, q.Ask, q.Chips, q.Typed = "The collector's inlet", "What size is the collector's inlet, inside?", sizeChips(u, p.value.Text), number(units.Diameter)
	case ":collector.bin":
		q.Title, q.Ask = "The dust bin", "Does a sealed dust bin hang under the cyclone?"
		on := strings.EqualFold(p.value.Text, "true") || strings.EqualFold(p.value.Text, "yes")
		q.Chips = []pages.Chip{{Value: "true", Text: "yes", Chosen: on}, {Value: "false", Text: "no", Chosen: !on}}
	case ":collector.fan":
		askFan(d, q, p.value)
	case ":collector.cyclone", ":collector.filter":
		what := strings.TrimPrefix(p.key, "collector.")
		q.Title, q.Ask = "The "+what, "What pressure does the "+what+" take, clean, and at what flow? It is on the maker's sheet."
		if what == "cyclone" {
			q.Ask = "What pressure does the cyclone take, and at what flow? It is on the maker's sheet."
		}
		q.Parts = []pages.Part{{Name: "drop", Ask: "It takes", Typed: &pages.Typed{Value: p.value.Get("drop").Text, Unit: pages.Unit(units.Pressure, u), Number: true, Label: "pressure, in " + pages.UnitWords(units.Pressure, u)}},
			{Name: "at", Ask: "at a flow of", Typed: &pages.Typed{Value: p.value.Get("at").Text, Unit: pages.Unit(units.Flow, u), Number: true, Label: "flow, in " + pages.UnitWords(units.Flow, u)}}}
		q.Chips = []pages.Chip{{Value: "true", Text: "it is there, and I don't know", Note: "a wide guess, which the readings narrow", Chosen: p.value.Text == "true"}}
		q.Optional = "There is none"
	case ":air":
		q.Title, q.Ask = "The air in the room", "What is the air like? It changes what a fan and a gauge show by some per cent."
		q.Parts = []pages.Part{{Name: "temperature", Ask: "Temperature", Typed: &pages.Typed{Value: p.value.Get("temperature").Text, Unit: pages.Unit(units.Temperature, u), Number: true, Label: "in " + pages.UnitWords(units.Temperature, u)}},
			{Name: "altitude", Ask: "Height above the sea", Typed: &pages.Typed{Value: p.value.Get("altitude").Text, Unit: pages.Unit(units.Length, u), Number: true, Label: "in " + pages.UnitWords(units.Length, u)}},
			{Name: "humidity", Ask: "Relative humidity", Typed: &pages.Typed{Value: p.value.Get("humidity").Text, Unit: "%", Number: true, Label: "in %"}}}
		q.Optional = "Take standard air"
	case "ducts:id", "ports:id":
		q.Title, q.Ask, q.Typed = of+": name", "What do you call it?", &pages.Typed{Value: p.value.Text, Label: "Name"}
		if files := naming(d, p.id); len(files) > 0 {
			q.Hint = "These surveys name it: " + strings.Join(files, ", ") + ". They keep the old name, and will not fit any more."
		}
	case "ducts:length":
		q.Title, q.Ask, q.Hint, q.Typed = of+": length", "How long is it, along its middle?", "Bends are asked for on their own.", number(units.Length)
	case "ducts:diameter":
		q.Title, q.Ask, q.Hint, q.Chips, q.Typed = of+": size", "What size is it, inside?", "A change of size ends a run and begins another. Of a rectangular duct type both sides, such as "+sidesExample(u)+".", sizeChips(u, p.value.Text), number(units.Diameter)
		q.Typed.Number = false // an x must be on the keyboard
	case "ducts:compressed":
		q.Title, q.Ask, q.Typed = of+": how it lies", "How much shorter does the hose lie than stretched out?", &pages.Typed{Value: p.value.Text, Unit: "%", Number: true, Label: "In %"}
		q.Chips, q.Optional = compressedChips(p.value.Text), "Stretched out"
	case "ducts:lining":
		q.Title, q.Ask, q.Chips = of+": its inside", "What is the hose like inside?", liningChips(p.value.Text)
	case "ducts:material":
		q.Title, q.Ask, q.Chips = of+": material", "What is it made of?", materialChips(p.value.Text, true)
	case "ducts:into":
		q.Title, q.Ask, q.Chips = of+": what it flows into", "What does its air flow into?", intoChips(d, p)
	case "ducts:enters":
		q.Title, q.Ask, q.Chips = of+": how it joins", "How does it join?", entersChips(p.value.Text)
		q.Typed = &pages.Typed{Value: "", Unit: "°", Number: true, Label: "Another angle, in degrees"}
	case "ducts:fittings":
		askBends(d, q, p.value, of)
	case "ducts:gate":
		askGate(d, q, p.value, of)
	case "ducts:taps":
		askTaps(d, q, p.value, of)
	case "ports:hood":
		q.Title, q.Ask, q.Chips = of+": hood", "How does the air come in?", hoodChips(p.value.Text)
		q.Typed = &pages.Typed{Value: numberOr(p.value.Text), Number: true, Label: "Or its loss, as a multiple of the velocity pressure"}
	case "ports:need":
		q.Title, q.Ask, q.Typed = of+": need", "What flow does the machine need?", number(units.Flow)
		q.Chips, q.Optional = needChips(d, p), "I don't know"
	case "ports:others":
		q.Title, q.Ask, q.Hint = of+": other ports", "Does another port serve the same machine?", "Then the two have one need, and it is judged with both open."
		q.Chips, q.Optional = otherChips(d, p.id), "No other port"
		if len(q.Chips) == 0 {
			q.Hint = "There is no other port yet. Add it as you add a machine, and say there of which machine it is."
		}
	case "machines:id":
		q.Title, q.Ask, q.Typed = of+": name", "What do you call the machine?", &pages.Typed{Value: p.value.Text, Label: "Name"}
	case "machines:need":
		q.Title, q.Ask, q.Typed = of+": need", "What flow does the machine need, through all its ports together?", number(units.Flow)
		q.Chips = usualChips(p.id, p.value.Text, u)
	case "ports:opening":
		q.Title, q.Ask, q.Hint = of+": its own port", "What size is the machine's own port, where it is not that of the pipe or hose on it?", "Of a slot type both sides, such as "+sidesExample(u)+"."
		q.Chips, q.Typed, q.Optional = sizeChips(u, p.value.Text), number(units.Diameter), "As wide as the pipe"
		q.Typed.Number = false
		q.Typed.Value = openingSize(p.value)
	default:
		return nil, desk.Refuse(http.StatusNotFound, "There is no such question.", "Go back to the shop.")
	}
	return q, nil
}

func numberOr(text string) string {
	if _, err := strconv.ParseFloat(text, 64); err != nil {
		return ""
	}
	return text
}

func intoChips(d *desk.Desk, p place) []pages.Chip {
	out := []pages.Chip{{Value: "collector", Text: "the collector", Chosen: p.value.Text == "collector"}}
	rows := d.Doc.Root.Get("ducts").Rows
	into := map[string]string{}
	for _, r := range rows {
		into[r.Get("id").Text] = r.Get("into").Text
	}
	for _, r := range rows {
		id := r.Get("id").Text
		ring := false
		for x, n := id, 0; x != "" && n <= len(rows); x, n = into[x], n+1 {
			ring = ring || x == p.id
		}
		if id != "" && !ring {
			out = append(out, pages.Chip{Value: id, Text: id, Chosen: id == p.value.Text})
		}
	}
	return out
}

// needChips offers what carries the dust in the machine's own port.
func needChips(d *desk.Desk, p place) []pages.Chip {
	u := d.Units()
	out := usualChips(cmp.Or(p.of.Get("machine").Text, p.id), p.value.Text, u)
	first := len(out)
	size := ownSize(d, p.of)
	for _, s := range append([]string{size}, tradeSizes(u)...) {
		bore, ok := tell.SizeOf(s, u)
		if !ok || bore > 0.21 {
			continue
		}
		c := pages.Chip{Value: roundFlow(carries(bore), u), Note: "carries dust in " + tell.SizeWords(s, u, "")}
		c.Text = c.Value + " " + pages.Unit(units.Flow, u)
		if s == size {
			c.Note = "what carries dust in its own " + tell.SizeWords(s, u, "")
		}
		c.Chosen = c.Value == p.value.Text
		if len(out) > first && out[first].Value == c.Value {
			continue
		}
		out = append(out, c)
	}
	return out
}

func askBends(d *desk.Desk, q *question, v edit.Value, of string) {
	n90, n45, other, radius := 0, 0, 0, ""
	for _, f := range v.Rows {
		n := max(1, pages.Whole(f.Get("count").Text))
		switch strings.TrimSuffix(f.Get("elbow").Text, "°") {
		case "90":
			n90 += n
			radius = cmp.Or(f.Get("radius").Text, "1.5")
		case "45":
			n45 += n
			radius = cmp.Or(radius, f.Get("radius").Text)
		default:
			other++
		}
	}
	q.Title, q.Ask = of+": bends", "Does it turn? How often, and how sharply?"
	if other > 0 {
		q.Hint = pages.Plural(other, "other fitting") + " that the file has on this run stay as they are."
	}
	q.Parts = []pages.Part{{Name: "n90", Ask: "Right-angled bends (90°)", Chips: countChips(n90, 6)},
		{Name: "n45", Ask: "Half bends (45°)", Chips: countChips(n45, 6)},
		{Name: "radius", Ask: "How sharp?", Hint: "from the inside of the bend one sees it best", Chips: sharpChips(radius)}}
	if radius != "" && !chosen(q.Parts[2].Chips) {
		q.Parts[2].Chips = append(q.Parts[2].Chips, pages.Chip{Value: radius, Text: "as it is", Note: radius + " times", Chosen: true})
	}
}

func askGate(d *desk.Desk, q *question, v edit.Value, of string) {
	id, down := tell.GateOf(v)
	q.Title, q.Ask = of+": gate", "Is there a blast gate on it?"
	q.Parts = []pages.Part{{Name: "gate", Ask: "The gate's name", Typed: &pages.Typed{Value: cmp.Or(id, gateName(d, of)), Label: "Name, such as that of the machine"}}}
	if knowsGateEnd() {
		q.Parts = append(q.Parts, pages.Part{Name: "end", Ask: "At which end?", Chips: []pages.Chip{
			{Value: "upstream", Text: "the far end, towards the machine", Chosen: !down},
			{Value: "downstream", Text: "the end towards the collector", Chosen: down}}})
	} else {
		q.Hint = "It stands at the far end of this run, towards the machine. If yours stands at the other end, it belongs to the run that this one flows into."
	}
	q.Optional = "No gate"
}

// knowsGateEnd says whether a gate's end can be written.
func knowsGateEnd() bool { return knows("ducts.gate", "at") }

// gateName proposes a name: that of the machine which the run leads to.
func gateName(d *desk.Desk, run string) string {
	for _, p := range d.Doc.Root.Get("ports").Rows {
		if p.Get("duct").Text == run {
			return p.Get("id").Text
		}
	}
	return ""
}

func askTaps(d *desk.Desk, q *question, v edit.Value, of string) {
	u := d.Units()
	q.Title, q.Ask = of+": holes for the gauge", "Where are holes to read the suction at?"
	q.Hint = "A small hole in the wall, away from bends and joins. Measure from the far end, where the air comes in. Before you drill: the fan off and locked off, no dust inside, eyes covered."
	for i, t := range v.Keys {
		q.Parts = append(q.Parts, pages.Part{Name: "tap" + strconv.Itoa(i), Ask: "Hole " + t.Key + " is at", Hint: "empty: no such hole",
			Typed: &pages.Typed{Value: t.Value.Text, Unit: pages.Unit(units.Length, u), Number: true, Label: "from the far end, in " + pages.UnitWords(units.Length, u)}})
	}
	q.Parts = append(q.Parts,
		pages.Part{Name: "name", Ask: "Another hole, called", Typed: &pages.Typed{Value: tapName(d, of, len(v.Keys)), Label: "Name"}},
		pages.Part{Name: "at", Ask: "at", Hint: "empty: no other hole", Typed: &pages.Typed{Unit: pages.Unit(units.Length, u), Number: true, Label: "from the far end, in " + pages.UnitWords(units.Length, u)}})
}

func tapName(d *desk.Desk, run string, n int) string {
	if n == 0 {
		return "T-" + run
	}
	return fmt.Sprintf("T-%s-%d", run, n+1)
}

// askFan asks for what is known of the fan.
func askFan(d *desk.Desk, q *question, v edit.Value) {
	u := d.Units()
	q.Title, q.Ask = "The fan", "What do you know of the fan?"
	var lines []string
	for _, r := range v.Get("curve").Rows {
		if len(r.Rows) == 2 {
			lines = append(lines, r.Rows[0].Text+"  "+r.Rows[1].Text)
		}
	}
	q.Table = strings.Join(lines, "\n")
	q.Extra = "curve"
	q.Hint = "A line for each point of its curve: flow (" + pages.Unit(units.Flow, u) + "), then suction (" + pages.Unit(units.Pressure, u) + "), from the maker's sheet. Begin with no flow; three or four points will do."
	two := knows("collector.fan", "most_air")
	if two {
		q.Parts = append(q.Parts,
			pages.Part{Name: "most_air", Ask: "Its most air", Typed: &pages.Typed{Value: v.Get("most_air").Text, Unit: pages.Unit(units.Flow, u), Number: true, Label: "flow with nothing on it, in " + pages.UnitWords(units.Flow, u)}},
			pages.Part{Name: "most_suction", Ask: "Its most suction", Typed: &pages.Typed{Value: v.Get("most_suction").Text, Unit: pages.Unit(units.Pressure, u), Number: true, Label: "with everything shut, in " + pages.UnitWords(units.Pressure, u)}})
	}
	if knows("collector.fan", "motor") {
		power := "kW"
		if u == units.US {
			power = "hp"
		}
		q.Parts = append(q.Parts,
			pages.Part{Name: "motor", Ask: "Its motor", Typed: &pages.Typed{Value: v.Get("motor").Text, Unit: power, Number: true, Label: "in " + power}},
			pages.Part{Name: "wheel", Ask: "Its wheel", Typed: &pages.Typed{Value: v.Get("wheel").Text, Unit: pages.Unit(units.Diameter, u), Number: true, Label: "diameter, in " + pages.UnitWords(units.Diameter, u)}})
	}
	if two {
		q.Unsure = "Fill in what you know for sure: the curve, or its two ends, or motor and wheel. Without a curve the fan is only known roughly, and the readings have to teach it."
		q.Optional = "I know nothing of it"
	}
}

// naming lists the surveys in which an id stands.
func naming(d *desk.Desk, id string) []string {
	var out []string
	for _, n := range d.Tables() {
		data, err := d.Files.Read(n)
		if err != nil || id == "" {
			continue
		}
		for _, line := range strings.Split(string(data), "\n") {
			for _, f := range strings.FieldsFunc(line, func(r rune) bool { return strings.ContainsRune(",;\t+\"\r", r) }) {
				if f == id {
					out = append(out, n)
					break
				}
			}
			if len(out) > 0 && out[len(out)-1] == n {
				break
			}
		}
		if len(out) == 4 {
			return out
		}
	}
	return out
}

// knows says whether the system file has a key, so that a question about it is
// asked as soon as there is one.
func knows(section, key string) bool {
	return slices.ContainsFunc(keys.Of(section), func(k keys.Key) bool { return k.Name == key })
}
