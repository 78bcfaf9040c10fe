package bench

import (
	"cmp"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/edit"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// question asks for one thing of the shop.
type question struct {
	Title, Ask, Hint    string
	List, Row, ID, Key  string
	Was                 string // what stood there when it was asked
	Chips               []chip
	Typed               *typed
	Parts               []part // of an answer that has several
	Problems            []telling
	Clash               *clash
	Back                string
	Optional            string // the button that leaves it out; "": it is needed
	Submit              string
	Unsure              string // what follows from not knowing
	Extra, Named, Table string
}

// chip is an answer by one tap.
type chip struct {
	Value, Text, Note string
	Chosen            bool
}

// typed is an answer by typing.
type typed struct {
	Value, Unit, Label string
	Number             bool
}

// part is one of several questions on a screen.
type part struct {
	Name, Ask, Hint string
	Chips           []chip
	Typed           *typed
}

// clash is what somebody else has set meanwhile.
type clash struct{ Theirs, Yours string }

// place is what a question is about, found in the file as it is now.
type place struct {
	list, key, id string
	row           int
	path          edit.Path
	value         edit.Value
	of            edit.Value // the row
}

func (d *desk) place() (place, error) {
	p := place{list: d.form("list"), key: d.form("key"), id: d.form("id"), row: -1}
	gone := wrong{http.StatusConflict, "What this is about is no longer in the file.", "Somebody took it out or renamed it meanwhile. Go back to the shop."}
	switch p.list {
	case "":
		p.of = d.doc.Root
		for _, k := range strings.Split(p.key, ".") {
			p.path = append(p.path, edit.Step{Key: k})
		}
		if len(p.path) == 2 {
			p.of = d.doc.Root.Get(p.path[0].Key)
		}
		p.value = p.of.Get(p.path[len(p.path)-1].Key)
		return p, nil
	case "ducts", "ports", "machines":
	default:
		return p, wrong{http.StatusNotFound, "There is no such list in a system file.", "Go back to the shop."}
	}
	rows := d.doc.Root.Get(p.list).Rows
	p.row = atoi(d.form("row"))
	if p.row < 0 || p.row >= len(rows) || rows[p.row].Get("id").Text != p.id {
		p.row = -1
		for i, r := range rows {
			if r.Get("id").Text == p.id && p.id != "" {
				p.row = i
				break
			}
		}
	}
	if p.row < 0 {
		return p, gone
	}
	p.of = rows[p.row]
	p.value = valueIn(p.of, p.key)
	p.path = edit.At(p.list, p.row, p.key)
	return p, nil
}

// canon is a value in one line, to tell whether it is still the same.
func canon(v edit.Value) string {
	switch v.Form {
	case edit.Keyed:
		var parts []string
		for _, e := range v.Keys {
			parts = append(parts, e.Key+": "+canon(e.Value))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case edit.List:
		var parts []string
		for _, r := range v.Rows {
			parts = append(parts, canon(r))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return v.Text
}

func (s *shop) askWord(d *desk) error {
	if err := d.needsShop(); err != nil {
		return err
	}
	p, err := d.place()
	if err != nil {
		return err
	}
	q, err := d.question(p)
	if err != nil {
		return err
	}
	return d.show(http.StatusOK, "shop-word", q.Title, q)
}

// setWord takes an answer.
func (s *shop) setWord(d *desk) error {
	if err := d.needsShop(); err != nil {
		return err
	}
	p, err := d.place()
	if err != nil {
		return err
	}
	changes, err := d.changesFor(p)
	if err != nil {
		return d.again(p, err)
	}
	if len(changes) == 0 {
		return d.go303(d.backTo(p))
	}
	f, err := d.doc.Apply(changes...)
	if err != nil {
		return d.again(p, err)
	}
	if list := d.newlyWrong(f, p); len(list) > 0 {
		return d.again(p, list)
	}
	if was, shown := d.r.Form["was"]; shown && was[0] != canon(p.value) && d.form("anyway") == "" && canon(valueAt(f, p)) != canon(p.value) {
		q, err := d.question(p)
		if err != nil {
			return err
		}
		q.Clash = &clash{Theirs: cmp.Or(canon(p.value), "nothing"), Yours: cmp.Or(canon(valueAt(f, p)), "nothing")}
		q.Was = canon(p.value)
		return d.show(http.StatusConflict, "shop-word", q.Title, q)
	}
	if err := d.save(f); err != nil {
		return err
	}
	if p.key == "id" {
		p.id = valueAt(f, p).Text
	}
	return d.go303(d.backTo(p))
}

// again asks once more, with what is wrong with the answer.
func (d *desk) again(p place, err error) error {
	q, qerr := d.question(p)
	if qerr != nil {
		return qerr
	}
	q.Problems = tellings(err)
	if q.Typed != nil && d.form("value") != "" {
		q.Typed.Value = d.form("value")
	}
	for i := range q.Parts {
		if t := q.Parts[i].Typed; t != nil {
			t.Value = cmp.Or(d.form(q.Parts[i].Name), t.Value)
		}
	}
	return d.show(http.StatusUnprocessableEntity, "shop-word", q.Title, q)
}

func tellings(err error) []telling {
	switch x := err.(type) {
	case problem.List:
		return told(x)
	case wrong:
		return []telling{{What: x.what, Do: x.do}}
	}
	return []telling{{What: err.Error()}}
}

// tryWord says what would be wrong with an answer, as it is typed.
func (s *shop) tryWord(d *desk) error {
	if err := d.needsShop(); err != nil {
		return err
	}
	p, err := d.place()
	if err != nil {
		return err
	}
	var list []telling
	changes, err := d.changesFor(p)
	if err == nil && len(changes) > 0 {
		var f *edit.File
		if f, err = d.doc.Apply(changes...); err == nil {
			list = told(d.newlyWrong(f, p))
		}
	}
	if err != nil {
		list = tellings(err)
	}
	var b strings.Builder
	if err := templates()["shop-word"].ExecuteTemplate(&b, "problems", list); err != nil {
		return err
	}
	d.send(http.StatusOK, "text/html; charset=utf-8", policy, []byte(b.String()))
	return nil
}

func valueAt(f *edit.File, p place) edit.Value {
	v := f.Root
	for _, s := range p.path {
		if s.Key != "" {
			v = valueIn(v, s.Key)
		} else if s.Row < len(v.Rows) {
			v = v.Rows[s.Row]
		}
	}
	return v
}

// newlyWrong is what check says of the place in a file that it did not say of it
// before.
func (d *desk) newlyWrong(f *edit.File, p place) problem.List {
	_, list := duct.Load(f.Bytes(), systemName)
	before := map[string]bool{}
	for _, x := range d.problems() {
		before[x.What] = true
	}
	w := &wording{d: d, at: placed(list)}
	inside := map[string]bool{}
	for _, t := range w.pullAll(valueAt(f, p)) {
		inside[t.What] = true
	}
	var out problem.List
	for _, x := range list {
		if !x.Warning && !before[x.What] && inside[x.What] {
			out = append(out, problem.Problem{What: x.What, Do: x.Do})
		}
	}
	return out
}

func (d *desk) backTo(p place) string {
	id := p.id
	switch p.list {
	case "ports":
		id = p.of.Get("duct").Text
	case "machines":
		id = ""
		if ports := portsOf(p.of); len(ports) > 0 {
			if i := d.doc.Root.Get("ports").Row(ports[0]); i >= 0 {
				id = d.doc.Root.Get("ports").Rows[i].Get("duct").Text
			}
		}
	}
	if id == "" {
		return "/shop?told=saved"
	}
	return "/shop?told=saved&run=" + url.QueryEscape(id) + "#run"
}

// undo takes the last change back.
func (s *shop) undo(d *desk) error {
	last, n := d.undoing.last()
	if n == 0 {
		return wrong{http.StatusConflict, "There is nothing to take back.", "Changes can be taken back until the program is stopped."}
	}
	if VersionOf(d.data) != last.after {
		return wrong{http.StatusConflict, systemName + " was changed by something else since.", "Taking back would lose that change, so nothing is done."}
	}
	if err := d.files.Write(systemName, last.before, last.after); err != nil {
		return err
	}
	d.undoing.pop()
	return d.go303("/shop?told=undone")
}

// remove takes a run out, with the machine at its end.
func (s *shop) remove(d *desk) error {
	if err := d.needsShop(); err != nil {
		return err
	}
	p, err := d.place()
	if err != nil {
		return err
	}
	var changes []edit.Change
	if p.list == "ducts" {
		for _, r := range d.doc.Root.Get("ducts").Rows {
			if r.Get("into").Text == p.id && p.id != "" {
				return wrong{http.StatusConflict, fmt.Sprintf("%s flows into it.", r.Get("id").Text), "Take that out first, or let it flow into another run."}
			}
		}
		ports := d.doc.Root.Get("ports").Rows
		for i := len(ports) - 1; i >= 0; i-- {
			if ports[i].Get("duct").Text == p.id && p.id != "" {
				changes = append(append(changes, d.apart(ports[i].Get("id").Text)...), edit.Delete(edit.At("ports", i)))
			}
		}
	}
	if p.list == "ports" {
		changes = append(changes, d.apart(p.id)...)
	}
	changes = append(changes, edit.Delete(edit.At(p.list, p.row)))
	f, err := d.doc.Apply(changes...)
	if err != nil {
		return err
	}
	if err := d.save(f); err != nil {
		return err
	}
	return d.go303("/shop?told=removed")
}

func unitOf(d units.Dimension, u units.System) string { return symbol(d.Symbol(u)) }

// unitWords is unitOf in a sentence: "in in" can't be read.
func unitWords(d units.Dimension, u units.System) string {
	switch s := unitOf(d, u); s {
	case "in":
		return "inches"
	case "in H₂O":
		return "inches of water"
	case "ft":
		return "feet"
	default:
		return s
	}
}
