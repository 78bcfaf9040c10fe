package tell

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/diagnose/duct/edit"
	"lostair/diagnose/duct/keys"
	"lostair/readings/problem"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/show"
)

// word is a piece of a sentence; one with an address can be tapped.
type word struct {
	Text string
	To   string // address of the question that changes it
	Hint string // what it is, for who can't see the sentence
	Open bool   // nothing stands there yet
	Bad  bool
}

// Run is a run of pipe or hose as the page tells it.
type Run struct {
	ID, Anchor string
	Row        int
	Depth      int
	Name       word
	Words      []word
	Machine    *machineView
	Problems   []pages.Telling
	End        bool // nothing flows into it and no machine is there
	Chosen     bool
	Brief      string // the run in a few words
	Unfolded   bool
	Last       bool   // can be taken out: nothing hangs on it
	Beside     string // of one just added: the run that it flows into, for more of its kind
}

type machineView struct {
	ID       string
	Row      int
	Name     word
	Words    []word
	Problems []pages.Telling
}

type shopView struct {
	Name      word
	Units     string
	Collector []word
	About     []pages.Telling // what is wrong with it
	Runs      []*Run
	Rest      []pages.Telling // what is wrong and stands at no run
	Count     int
	Undo      int
	Picture   *Picture
	Chosen    string
	Lost      []machineView // machines on no run
}

// unfold shows all of a run that is chosen, or wants something.
func (r *Run) unfold() {
	wants := func(list []word) bool {
		return slices.ContainsFunc(list, func(x word) bool { return x.Open || x.Bad })
	}
	r.Unfolded = r.Chosen || r.End || len(r.Problems) > 0 || wants(r.Words)
	if m := r.Machine; m != nil {
		r.Unfolded = r.Unfolded || len(m.Problems) > 0 || wants(m.Words)
		r.Brief += ", to " + m.Name.Text
	}
}

// Describe shows the shop in sentences, with the drawing.
func Describe(d *desk.Desk) error {
	if err := d.NeedsShop(); err != nil {
		return err
	}
	v := viewOf(d, d.Form("run"))
	return d.Show(http.StatusOK, "shop", "Shop", v)
}

// viewOf tells all of the shop; chosen is the run that was tapped.
func viewOf(d *desk.Desk, chosen string) *shopView {
	root := d.Doc.Root
	w := NewWording(d, d.Problems())
	v := &shopView{Units: d.Units().String(), Chosen: chosen}
	v.Undo = d.Undoable()
	v.Name = w.word(root.Get("name"), "name", cmp.Or(root.Get("name").Text, "My shop"), "the shop's name", "", -1, "")
	v.Collector = w.collector(root.Get("collector"))
	v.About = append(w.about, guessed(d)...)
	runs := w.Runs()
	added := d.Form("told") == "added"
	for _, r := range runs {
		r.Chosen = r.ID != "" && r.ID == chosen
		into := root.Get("ducts").Rows[r.Row].Get("into").Text
		if r.Chosen && added && root.Get("ducts").Row(into) >= 0 {
			r.Beside = into
		}
		r.unfold()
		if added && r.Machine != nil && into == chosen { // what was taken of a new machine is shown
			r.Unfolded = true
		}
	}
	v.Runs = runs
	v.Picture = Draw(d, func(id string) string { return d.Base + "/shop?run=" + url.QueryEscape(id) + "#run" }, chosen, nil)
	v.Lost = w.lost
	v.Rest = w.rest()
	v.Count = w.count
	return v
}

// guessed says how wide the parts of the collector are known that the file only guesses.
func guessed(d *desk.Desk) []pages.Telling {
	sys, err := d.System()
	if err != nil {
		return nil
	}
	var out []pages.Telling
	if fan := report.GuessedFan(sys, sys.Units); fan != "" {
		out = append(out, pages.Telling{What: show.Title(pages.Minus(fan)), Do: "begin a round: its readings do", Warning: true})
	}
	for _, part := range report.GuessedDrops(sys, sys.Units) {
		out = append(out, pages.Telling{What: show.Title(pages.Minus(part)), Warning: true})
	}
	return out
}

// Wording turns the file into sentences, and takes the problems as it meets
// their places.
type Wording struct {
	d     *desk.Desk
	at    map[keys.Pos][]pages.Telling
	count int
	lost  []machineView
	about []pages.Telling // what is wrong with the collector
}

// NewWording is that of the file on a desk, with what is wrong in it.
func NewWording(d *desk.Desk, problems problem.List) *Wording {
	return &Wording{d: d, at: placed(problems)}
}

// placed sorts problems by their place.
func placed(list problem.List) map[keys.Pos][]pages.Telling {
	out := map[keys.Pos][]pages.Telling{}
	for _, p := range list {
		k := keys.Pos{Line: p.Line, Column: p.Column}
		t := pages.Telling{What: p.What, Do: p.Do, Warning: p.Warning}
		if do, ok := doHere[p.What]; ok {
			t.Do = do
		}
		if strings.HasPrefix(p.What, "nothing flows into duct ") {
			t.Do = "add a machine or another run to it, or take it out"
		}
		out[k] = append(out[k], t)
	}
	return out
}

// doHere is what to do on the page about what is missing in a new shop; check speaks of
// the keys of the file.
var doHere = map[string]string{
	"the collector has no inlet":       "tap “what size?”",
	"the collector has no fan":         "tap “what do you know of it?”",
	"nothing flows into the collector": "add a run of pipe to it",
}

// pull takes what is wrong at a place.
func (w *Wording) pull(p keys.Pos) []pages.Telling {
	if p == (keys.Pos{}) {
		return nil
	}
	out := w.at[p]
	delete(w.at, p)
	w.count += len(out)
	return out
}

// PullAll takes what is wrong anywhere within a value.
func (w *Wording) PullAll(v edit.Value) []pages.Telling {
	out := w.pull(v.Pos)
	for _, e := range v.Keys {
		out = append(out, w.pull(e.Pos)...)
		out = append(out, w.PullAll(e.Value)...)
	}
	for _, r := range v.Rows {
		out = append(out, w.PullAll(r)...)
	}
	return out
}

// rest is what is wrong at no place that was shown.
func (w *Wording) rest() []pages.Telling {
	var at []keys.Pos
	for p := range w.at {
		at = append(at, p)
	}
	slices.SortFunc(at, func(a, b keys.Pos) int { return cmp.Or(a.Line-b.Line, a.Column-b.Column) })
	var out []pages.Telling
	for _, p := range at {
		out = append(out, w.pull(p)...)
	}
	return out
}

// askAddress is the address of the question about a key of a row.
func askAddress(d *desk.Desk, list string, row int, id, key string) string {
	q := url.Values{"key": {key}}
	if list != "" {
		q.Set("list", list)
		q.Set("row", strconv.Itoa(row))
		q.Set("id", id)
	}
	return d.Base + "/shop/word?" + q.Encode()
}

func (w *Wording) word(v edit.Value, key, text, hint, list string, row int, id string) word {
	return word{Text: text, To: askAddress(w.d, list, row, id, key), Hint: hint, Open: v.Form == edit.Empty}
}

// Runs lists the runs from the collector outward, each before what flows into it.
func (w *Wording) Runs() []*Run {
	rows := w.d.Doc.Root.Get("ducts").Rows
	ports := w.d.Doc.Root.Get("ports").Rows
	used := make([]bool, len(rows))
	taken := make([]bool, len(ports))
	var out []*Run
	var walk func(into string, depth int)
	walk = func(into string, depth int) {
		for i, r := range rows {
			if used[i] || r.Get("into").Text != into {
				continue
			}
			used[i] = true
			v := w.run(i, r, depth)
			out = append(out, v)
			n := len(out)
			if v.ID != "" {
				for k, p := range ports {
					if !taken[k] && p.Get("duct").Text == v.ID && v.Machine == nil {
						taken[k] = true
						v.Machine = w.machine(k, p)
					}
				}
				walk(v.ID, depth+1)
			}
			v.Last = len(out) == n
			v.End = v.Last && v.Machine == nil
		}
	}
	walk("collector", 0)
	for i, r := range rows { // what flows into nothing that there is, or in a ring
		if !used[i] {
			used[i] = true
			v := w.run(i, r, 0)
			out = append(out, v)
			n := len(out)
			if v.ID != "" {
				walk(v.ID, 1)
			}
			v.Last = len(out) == n
		}
	}
	for k, p := range ports {
		if !taken[k] {
			w.lost = append(w.lost, *w.machine(k, p))
		}
	}
	return out
}

func (w *Wording) run(i int, r edit.Value, depth int) *Run {
	id := r.Get("id").Text
	u := w.d.Units()
	v := &Run{ID: id, Row: i, Depth: min(depth, 6), Anchor: "run-" + strconv.Itoa(i)}
	ask := func(key, text, hint string) word { return w.word(r.Get(key), key, text, hint, "ducts", i, id) }
	v.Name = ask("id", cmp.Or(id, "no name"), "the name of this run")
	say := func(t string) { v.Words = append(v.Words, word{Text: t}) }
	add := func(x word) { v.Words = append(v.Words, x) }
	add(ask("length", amountWords(r.Get("length").Text, units.Length, u, "how long?"), "length"))
	say(" of ")
	size := ValueIn(r, "diameter")
	add(w.word(size, "diameter", SizeWords(size.Text, u, "what size?"), "size inside", "ducts", i, id))
	say(" ")
	material := r.Get("material")
	switch {
	case material.Form == edit.Empty && r.Has("roughness"):
		add(ask("material", "pipe of its own roughness", "material"))
	default:
		add(ask("material", MaterialWords(material.Text), "material"))
	}
	if material.Text == "flexible" {
		say(" (")
		x := ask("compressed", compressedWords(r.Get("compressed").Text), "how it lies")
		x.Open = false
		add(x)
		say(", ")
		x = ask("lining", liningWords(r.Get("lining").Text), "its inside")
		x.Open = false
		add(x)
		say(")")
	}
	say(", ")
	x := ask("fittings", fittingWords(r.Get("fittings")), "bends")
	x.Open = false
	add(x)
	say("; flows into ")
	add(ask("into", cmp.Or(r.Get("into").Text, "what?"), "what it flows into"))
	say(" ")
	x = ask("enters", entersWords(r.Get("enters").Text), "how it joins")
	x.Open = false
	add(x)
	say("; ")
	x = ask("gate", gateWords(r.Get("gate")), "blast gate")
	x.Open = false
	add(x)
	say("; ")
	x = ask("taps", tapWords(r.Get("taps"), u), "holes for the gauge")
	x.Open = false
	add(x)
	say(".")
	v.Brief = amountWords(r.Get("length").Text, units.Length, u, "?") + " of " + SizeWords(size.Text, u, "?") + " " + cmp.Or(materialNames[material.Text], "pipe")
	for _, e := range r.Keys {
		for _, t := range w.PullAll(e.Value) {
			key := e.Key
			if key == "width" || key == "height" {
				key = "diameter"
			}
			w.mark(v.Words, askAddress(w.d, "ducts", i, id, key))
			v.Problems = append(v.Problems, t)
		}
		v.Problems = append(v.Problems, w.pull(e.Pos)...)
	}
	v.Problems = append(v.Problems, w.pull(r.Pos)...)
	return v
}

// mark makes the word that asks a key one that is wrong.
func (w *Wording) mark(list []word, to string) {
	for i := range list {
		if list[i].To == to {
			list[i].Bad = true
		}
	}
}

func (w *Wording) machine(i int, r edit.Value) *machineView {
	id := r.Get("id").Text
	u := w.d.Units()
	v := &machineView{ID: id, Row: i}
	ask := func(key, text, hint string) word { return w.word(r.Get(key), key, text, hint, "ports", i, id) }
	v.Name = ask("id", cmp.Or(id, "no name"), "the machine's name")
	say := func(t string) { v.Words = append(v.Words, word{Text: t}) }
	add := func(x word) { v.Words = append(v.Words, x) }
	say("air enters by ")
	add(ask("hood", HoodWords(r.Get("hood").Text), "kind of hood"))
	m := MachineOf(w.d.Doc.Root, id)
	if m < 0 || r.Has("need") {
		say("; it needs ")
		x := ask("need", amountWords(r.Get("need").Text, units.Flow, u, "no stated flow"), "flow that it needs")
		x.Open = false
		add(x)
	}
	say("; its own port is ")
	x := ask("opening", openingWords(r.Get("opening"), u), "the machine's own port")
	x.Open = false
	add(x)
	say("; ")
	if m < 0 {
		x = ask("others", "no other port serves it", "other ports of this machine")
		x.Open = false
		add(x)
	} else {
		v.Problems = append(v.Problems, w.several(v, m, id)...)
	}
	say(".")
	for _, e := range r.Keys {
		for _, t := range w.PullAll(e.Value) {
			w.mark(v.Words, askAddress(w.d, "ports", i, id, e.Key))
			v.Problems = append(v.Problems, t)
		}
		v.Problems = append(v.Problems, w.pull(e.Pos)...)
	}
	v.Problems = append(v.Problems, w.pull(r.Pos)...)
	return v
}

// several tells of the machine that a port serves with others, and gives back what is
// wrong with it.
func (w *Wording) several(v *machineView, m int, port string) []pages.Telling {
	row := w.d.Doc.Root.Get("machines").Rows[m]
	name := row.Get("id").Text
	others := slices.DeleteFunc(PortsOf(row), func(id string) bool { return id == port })
	word := func(key, text, hint string) word { return w.word(row.Get(key), key, text, hint, "machines", m, name) }
	x := w.word(edit.Value{}, "others", "with "+cmp.Or(show.Listed(others), "no other port"), "other ports of this machine", "ports", v.Row, port)
	v.Words = append(v.Words, x, wordOf(" it serves "), word("id", cmp.Or(name, "what?"), "the machine's name"), wordOf(", which needs "),
		word("need", amountWords(row.Get("need").Text, units.Flow, w.d.Units(), "how much?"), "flow that the machine needs in all"), wordOf(" in all"))
	list := w.PullAll(row)
	for _, e := range row.Keys {
		list = append(list, w.pull(e.Pos)...)
	}
	return list
}

func wordOf(text string) word { return word{Text: text} }

func (w *Wording) collector(c edit.Value) []word {
	u := w.d.Units()
	ask := func(v edit.Value, key, text, hint string) word {
		x := w.word(v, key, text, hint, "", -1, "")
		if list := w.PullAll(v); len(list) > 0 {
			w.about, x.Bad = append(w.about, list...), true
		}
		return x
	}
	fan := c.Get("fan")
	out := []word{{Text: "The collector has an inlet of "},
		ask(c.Get("inlet"), "collector.inlet", amountWords(c.Get("inlet").Text, units.Diameter, u, "what size?"), "size of the inlet"),
		{Text: ". Its fan: "}, ask(fan, "collector.fan", fanWords(fan), "the fan"), {Text: ". "}}
	x := ask(c.Get("cyclone"), "collector.cyclone", dropWords("Cyclone", c.Get("cyclone"), u), "the cyclone")
	x.Open = false
	y := ask(c.Get("filter"), "collector.filter", dropWords("Filter", c.Get("filter"), u), "the filter")
	y.Open = false
	bin := "no sealed dust bin"
	if t := c.Get("bin").Text; strings.EqualFold(t, "true") || strings.EqualFold(t, "yes") {
		bin = "a sealed dust bin"
	}
	z := ask(c.Get("bin"), "collector.bin", bin, "the dust bin")
	z.Open = false
	air := w.d.Doc.Root.Get("air")
	a := ask(air, "air", airWords(air), "the air in the room")
	a.Open = false
	w.about = append(w.about, w.PullAll(c)...)
	return append(out, x, word{Text: ". "}, y, word{Text: ". Under it "}, z, word{Text: ". The room: "}, a, word{Text: "."})
}
