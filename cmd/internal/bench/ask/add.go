package ask

import (
	"cmp"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/tell"
	"lostair/cmd/internal/runs"
	"lostair/diagnose/duct/edit"
	"lostair/diagnose/duct/keys"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/duct/trade"
	"lostair/readings/units"
)

// addView asks for what comes before a run: another run, or a machine with all
// that hangs before it.
type addView struct {
	Into      string
	Drop      bool // a machine with its drop, else a run of pipe
	Name      string
	Unit      string // of sizes
	LengthIn  string
	FlowIn    string
	Sizes     []pages.Chip
	Materials []pages.Chip
	N90, N45  []pages.Chip
	Sharp     []pages.Chip
	Enters    []pages.Chip
	HoseSizes []pages.Chip
	Hoods     []pages.Chip
	Needs     []pages.Chip
	Typed     map[string]string // what was typed, if it is asked again
	Problems  []pages.Telling
	Row       int
	Openings  []pages.Chip
	Linings   []pages.Chip
	Of        []pages.Chip // machines that it may be another port of; nil: there is none
	OfOpen    bool
	Example   string // of both sides of a rectangle
	Gates     []pages.Chip
	Names     []string
}

// Machines of the trade, to save typing.
var machineWords = []string{"table saw", "bandsaw", "planer", "thicknesser", "spindle", "router", "drum sander", "disc sander", "lathe", "mortiser", "crosscut", "bench", "floor sweep"}

// Adding asks for a run or a machine to add.
func Adding(d *desk.Desk) error {
	if err := d.NeedsShop(); err != nil {
		return err
	}
	v, err := newAddView(d)
	if err != nil {
		return err
	}
	return d.Show(http.StatusOK, "shop-add", "Add", v)
}

func newAddView(d *desk.Desk) (*addView, error) {
	u := d.Units()
	v := &addView{Into: cmp.Or(d.Form("into"), "collector"), Drop: d.Form("what") == "drop", Unit: pages.Unit(units.Diameter, u),
		LengthIn: pages.Unit(units.Length, u), FlowIn: pages.Unit(units.Flow, u), Typed: map[string]string{}}
	rows := d.Doc.Root.Get("ducts").Rows
	i := d.Doc.Root.Get("ducts").Row(v.Into)
	if i < 0 && v.Into != "collector" {
		return nil, desk.Refuse(http.StatusConflict, "There is no run “"+v.Into+"” any more.", "Somebody took it out or renamed it. Go back to the shop.")
	}
	size, material := d.Doc.Root.Get("collector").Get("inlet").Text, "spiral"
	like := edit.Value{}
	for k, r := range rows { // what is alike nearby is the best guess
		if r.Get("material").Text != "flexible" && (r.Get("into").Text == v.Into || k == i) {
			like = r
		}
	}
	if len(like.Keys) > 0 {
		size, material = tell.ValueIn(like, "diameter").Text, cmp.Or(like.Get("material").Text, material)
	}
	v.Name = freshName(d, map[bool]string{true: "", false: "run"}[v.Drop])
	siblings := 0
	for _, r := range rows {
		if r.Get("into").Text == v.Into {
			siblings++
		}
	}
	enters := "straight"
	if siblings > 0 {
		enters = "45"
	}
	if v.Into == "collector" && siblings == 0 {
		v.Name = freshName(d, "main")
	}
	again := func(name, otherwise string) string {
		return cmp.Or(d.Request.PostForm.Get(name), otherwise)
	}
	v.Sizes = withOwn(sizeChips(u, again("size", size)), again("size", size), u)
	if v.Drop && i >= 0 {
		v.Sizes = append(v.Sizes, pages.Chip{Value: "none", Text: "no pipe", Note: "its hose or its hood is on " + v.Into + " itself", Chosen: again("size", size) == "none"})
	}
	v.Materials = materialChips(again("material", material), !v.Drop)
	v.N90, v.N45 = countChips(pages.Whole(again("n90", "0")), 4), countChips(pages.Whole(again("n45", "0")), 4)
	v.Sharp, v.Enters = sharpChips(again("radius", "1.5")), entersChips(again("enters", enters))
	if v.Into == "collector" && siblings == 0 {
		v.Enters = nil // it joins nothing
	}
	v.HoseSizes = append([]pages.Chip{{Value: "", Text: "no hose", Chosen: again("hose", "same") == "none"}}, pages.Chip{Value: "same", Text: "as the pipe", Chosen: again("hose", "same") == "same"})
	v.HoseSizes[0].Value = "none"
	v.HoseSizes = append(v.HoseSizes, sizeChips(u, again("hose", "same"))...)
	v.Hoods = hoodChips(again("hood", machineHood))
	v.Needs = append([]pages.Chip{{Value: "carries", Text: "what carries its dust", Note: "20 m/s (4,000 ft/min) in its own port: common practice, no source", Chosen: again("need", "carries") == "carries"}},
		pages.Chip{Value: "usual", Text: "what such a machine usually needs", Note: "the middle of what is usual, by its name: common practice, no source", Chosen: again("need", "carries") == "usual"},
		pages.Chip{Value: "none", Text: "I don't know", Chosen: again("need", "carries") == "none"})
	v.Gates = []pages.Chip{{Value: "machine", Text: "at the machine", Note: "at the far end of the hose", Chosen: again("gate", "machine") == "machine"},
		{Value: "pipe", Text: "where the pipe ends", Note: "the hose begins behind it", Chosen: again("gate", "machine") == "pipe"},
		{Value: "none", Text: "no gate", Chosen: again("gate", "machine") == "none"}}
	v.Openings = append([]pages.Chip{{Value: "same", Text: "as wide as what is on it", Chosen: again("opening", "same") == "same"}}, sizeChips(u, again("opening", "same"))...)
	v.Linings = liningChips(again("lining", "ribbed"))
	v.Of, v.OfOpen, v.Example = ofChips(d, d.Form("of")), d.Form("of") != "", sidesExample(u)
	for _, n := range machineWords {
		if freshName(d, n) == n {
			v.Names = append(v.Names, n)
		}
	}
	for _, k := range []string{"name", "size-typed", "length", "hose-length", "hose-typed", "need-typed", "tap", "opening-typed", "shorter"} {
		v.Typed[k] = d.Request.PostForm.Get(k)
	}
	if v.Typed["name"] == "" {
		v.Typed["name"] = v.Name
	}
	return v, nil
}

// freshName is a name like one, that nothing has.
func freshName(d *desk.Desk, like string) string {
	if like == "" {
		return ""
	}
	taken := namesIn(d)
	for n := 1; ; n++ {
		name := like
		if n > 1 {
			name = like + " " + string(rune('0'+n%10))
			if n > 9 {
				name = like + " " + strings.Repeat("x", n-9)
			}
		}
		if !slices.Contains(taken, name) && !slices.Contains(taken, name+"-drop") {
			return name
		}
	}
}

// namesIn are all ids of the file.
func namesIn(d *desk.Desk) []string {
	var out []string
	for _, r := range d.Doc.Root.Get("ducts").Rows {
		out = append(out, r.Get("id").Text)
		for _, t := range r.Get("taps").Keys {
			out = append(out, t.Key)
		}
		if g, _ := tell.GateOf(r.Get("gate")); g != "" {
			out = append(out, g)
		}
	}
	for _, r := range d.Doc.Root.Get("ports").Rows {
		out = append(out, r.Get("id").Text)
	}
	return out
}

// Add writes what was asked for into the file.
func Add(d *desk.Desk) error {
	if err := d.NeedsShop(); err != nil {
		return err
	}
	v, err := newAddView(d)
	if err != nil {
		return err
	}
	refused := func(err error) error {
		v.Problems = desk.Tellings(err)
		return d.Show(http.StatusUnprocessableEntity, "shop-add", "Add", v)
	}
	a, err := additions(d, v)
	if err != nil {
		return refused(err)
	}
	f, err := d.Doc.Apply(a.changes...)
	if err != nil {
		return refused(err)
	}
	if list := wrongWith(d, f, a.ids); len(list) > 0 {
		v.Problems = list
		return d.Show(http.StatusUnprocessableEntity, "shop-add", "Add", v)
	}
	if err := d.Save(f); err != nil {
		return err
	}
	return d.SeeOther("/shop?told=added&run=" + url.QueryEscape(a.ids[0]) + "#run")
}

// typedFields are the numbers that the form for adding asks for.
var typedFields = []struct {
	name, section, key string
}{
	{"size-typed", "ducts", "diameter"}, {"length", "ducts", "length"}, {"tap", "ducts", "length"},
	{"hose-typed", "ducts", "diameter"}, {"hose-length", "ducts", "length"}, {"need-typed", "ports", "need"}, {"opening-typed", "ports", "opening"},
}

// TryAdd says what is wrong with what was typed so far; what is not there yet is
// no mistake.
func TryAdd(d *desk.Desk) error {
	if err := d.NeedsShop(); err != nil {
		return err
	}
	var list []pages.Telling
	if n := d.Form("name"); n != "" && slices.Contains(namesIn(d), n) {
		list = append(list, desk.Tellings(nameTaken(d, n))...)
	}
	for _, f := range typedFields {
		if text := d.Form(f.name); text != "" {
			list = append(list, wrongAmount(d, text, f.section, f.key)...)
		}
	}
	return d.ShowProblems(list)
}

// wrongAmount says what is wrong with an amount for a key, by the key's own table.
func wrongAmount(d *desk.Desk, text, section, key string) []pages.Telling {
	if w, h, ok := runs.SidesOf(text); ok && (key == "diameter" || key == "opening") {
		return append(wrongAmount(d, w, "ducts", "width"), wrongAmount(d, h, "ducts", "height")...)
	}
	list := keys.Of(section)
	k := list[slices.IndexFunc(list, func(k keys.Key) bool { return k.Name == key })]
	v, err := units.Parse(text, k.Dim, d.Units())
	var ue *units.Error
	switch {
	case errors.As(err, &ue):
		return []pages.Telling{{What: ue.What, Do: ue.Do}}
	case err != nil:
		return desk.Tellings(err)
	case v.SI < k.Min || k.Max > 0 && v.SI > k.Max:
		return []pages.Telling{{What: fmt.Sprintf("%q is out of range", text), Do: fmt.Sprintf("it must lie between %s and %s", units.Format(k.Min, k.Dim, d.Units()), units.Format(k.Max, k.Dim, d.Units()))}}
	}
	return nil
}

// addition is the rows to add.
type addition struct {
	changes []edit.Change
	ids     []string // of the runs
}

func additions(d *desk.Desk, v *addView) (*addition, error) {
	name := d.Form("name")
	if of := d.Form("of"); v.Drop && of != "" && (name == "" || name == of) {
		name = freshName(d, of) // another port goes by its machine's name with a number
	}
	if name == "" {
		return nil, desk.Refuse(http.StatusUnprocessableEntity, "It has no name.", "Give it one: the machine's, or that of the part of the shop it runs through.")
	}
	taken := namesIn(d)
	size := cmp.Or(d.Form("size-typed"), d.Form("size"))
	length := d.Form("length")
	switch {
	case size == "":
		return nil, desk.Refuse(http.StatusUnprocessableEntity, "The pipe has no size.", "Tap its inside diameter, or type it.")
	case size == "none" && v.Drop:
	case length == "":
		return nil, desk.Refuse(http.StatusUnprocessableEntity, "The pipe has no length.", "Type how long it is, along its middle.")
	}
	pipe := name
	if v.Drop {
		pipe = name + "-drop"
	}
	enters := d.Form("enters")
	if enters == "straight" {
		enters = ""
	}
	tap := ""
	if at := d.Form("tap"); at != "" {
		tap = edit.Row(edit.Scalar(freshTap(d, "T-"+name)), amountText(at))
	}
	bends := strings.Join(bendRows(d.Form("n90"), d.Form("n45"), d.Form("radius")), ", ")
	if bends != "" {
		bends = "[" + bends + "]"
	}
	row := []string{"id", edit.Scalar(pipe), "into", edit.Scalar(v.Into), "enters", amountOr(enters)}
	row = append(append(row, sizePairs(size)...), "length", amountText(length), "material", edit.Scalar(cmp.Or(d.Form("material"), "spiral")), "fittings", bends, "taps", tap)
	ducts := d.Doc.Root.Get("ducts")
	a := &addition{ids: []string{pipe}}
	insert := func(row string) {
		a.changes = append(a.changes, edit.Insert(edit.At("ducts", len(ducts.Rows)+len(a.ids)-1), row))
	}
	if !v.Drop {
		if slices.Contains(taken, pipe) {
			return nil, nameTaken(d, pipe)
		}
		insert(edit.Row(row...))
		return a, nil
	}
	return dropOf(d, v, a, name, size, row, taken, insert)
}

// nameTaken says that a name is, and how to add another port of a machine.
func nameTaken(d *desk.Desk, name string) error {
	do := "Give this one another name."
	if d.Form("what") == "drop" && d.Doc.Root.Get("ports").Row(name) >= 0 {
		do = "Give this one another name. Or is it another port of that machine? Say so below, under “Another port of a machine that is there”."
	}
	return desk.Refuse(http.StatusUnprocessableEntity, "There is a “"+name+"” already.", do)
}

// dropOf adds a machine with its drop, hose and gate.
func dropOf(d *desk.Desk, v *addView, a *addition, name, size string, row, taken []string, insert func(string)) (*addition, error) {
	for _, n := range []string{name, name + "-drop", name + "-hose"} {
		if slices.Contains(taken, n) {
			return nil, nameTaken(d, n)
		}
	}
	end, last, gate := a.ids[0], size, d.Form("gate")
	hose := cmp.Or(d.Form("hose-typed"), d.Form("hose"), "same")
	bare := size == "none" // no pipe: the hose or the hood is on the run itself
	if bare {
		a.ids, end = nil, v.Into
		last = tell.ValueIn(d.Doc.Root.Get("ducts").Rows[d.Doc.Root.Get("ducts").Row(v.Into)], "diameter").Text
	}
	if hose == "same" {
		hose = last
	}
	if !bare {
		if gate == "pipe" || gate == "machine" && hose == "none" {
			row = append(row, "gate", edit.Scalar(name))
		}
		insert(edit.Row(row...))
	}
	if hose != "none" {
		pairs, err := hoseOf(d, name, end, hose)
		if err != nil {
			return nil, err
		}
		if bare {
			pairs = append(pairs, "enters", amountOr(strings.TrimPrefix(d.Form("enters"), "straight")))
		}
		if gate == "machine" || bare && gate == "pipe" {
			gateText := edit.Scalar(name)
			if gate == "pipe" {
				gateText = edit.Row("id", gateText, "at", "downstream")
			}
			pairs = append(pairs, "gate", gateText)
		}
		end, last = name+"-hose", hose
		a.ids = append(a.ids, end)
		insert(edit.Row(pairs...))
	}
	if bare && hose == "none" {
		if leadsOn(d, v.Into) {
			return nil, desk.Refuse(http.StatusUnprocessableEntity, "Other runs flow into "+v.Into+" where this machine would stand.", "Give it a pipe or a hose of its own.")
		}
		if i := d.Doc.Root.Get("ducts").Row(v.Into); gate != "none" && !d.Doc.Root.Get("ducts").Rows[i].Has("gate") {
			a.changes = append(a.changes, edit.Set(edit.At("ducts", i, "gate"), edit.Scalar(name)))
		}
		a.ids = []string{v.Into}
	}
	addPort(d, a, name, end, last)
	return a, nil
}

// leadsOn says whether something flows into a run.
func leadsOn(d *desk.Desk, run string) bool {
	return slices.ContainsFunc(d.Doc.Root.Get("ducts").Rows, func(r edit.Value) bool { return r.Get("into").Text == run })
}

// hoseOf writes the keys of a machine's hose.
func hoseOf(d *desk.Desk, name, into, size string) ([]string, error) {
	length := d.Form("hose-length")
	if length == "" {
		return nil, desk.Refuse(http.StatusUnprocessableEntity, "The hose has no length.", "Type how long it is, or say that there is no hose.")
	}
	shorter := d.Form("shorter")
	if _, err := strconv.ParseFloat(shorter, 64); err == nil {
		shorter += "%"
	}
	lining := d.Form("lining")
	if lining == "ribbed" {
		lining = ""
	}
	pairs := append([]string{"id", edit.Scalar(name + "-hose"), "into", edit.Scalar(into)}, sizePairs(size)...)
	return append(pairs, "length", amountText(length), "material", "flexible", "compressed", amountOr(shorter), "lining", lining), nil
}

// addPort adds the machine itself, or another port of one.
func addPort(d *desk.Desk, a *addition, name, end, last string) {
	u := d.Units()
	opening := cmp.Or(d.Form("opening-typed"), d.Form("opening"))
	if opening == "same" {
		opening = ""
	}
	if opening != "" {
		last = opening
	}
	of := d.Form("of")
	need := cmp.Or(d.Form("need-typed"), d.Form("need"))
	usual, known := trade.UsualOf(name, u)
	switch {
	case need == "none":
		need = ""
	case need == "usual" && known:
		need = roundFlow((usual.Low+usual.High)/2, u)
	case of != "" && d.Form("need-typed") == "" && hasNeedOfItsOwn(d, of):
		need = "" // nobody said what the further port is for: what was said of the machine stands
	case need == "usual", need == "carries", need == "":
		need = ""
		if bore, ok := tell.SizeOf(last, u); ok {
			need = roundFlow(carries(bore), u)
		}
	}
	own := need
	if of != "" {
		own = ""
	}
	a.changes = append(a.changes, edit.Insert(edit.At("ports", len(d.Doc.Root.Get("ports").Rows)),
		edit.Row("id", edit.Scalar(name), "duct", edit.Scalar(end), "hood", amountText(cmp.Or(d.Form("hood"), machineHood)), "need", amountOr(own), "opening", openingText(opening))))
	if of != "" {
		a.changes = append(a.changes, together(d, name, of, need)...)
	}
}

func freshTap(d *desk.Desk, like string) string {
	for slices.Contains(namesIn(d), like) {
		like += "-2"
	}
	return like
}

// wrongWith is what check says of values in the new rows; that something hangs
// before them still is no mistake of theirs.
func wrongWith(d *desk.Desk, f *edit.File, ids []string) []pages.Telling {
	_, list := systemfile.Load(f.Bytes(), desk.SystemName)
	w := tell.NewWording(d, list)
	var out []pages.Telling
	look := func(r edit.Value) {
		for _, e := range r.Keys {
			for _, t := range w.PullAll(e.Value) {
				if !t.Warning {
					out = append(out, t)
				}
			}
		}
	}
	for _, r := range f.Root.Get("ducts").Rows {
		if slices.Contains(ids, r.Get("id").Text) {
			look(r)
		}
	}
	for _, r := range f.Root.Get("ports").Rows {
		if slices.Contains(ids, r.Get("duct").Text) {
			look(r)
		}
	}
	return out
}
