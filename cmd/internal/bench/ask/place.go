package ask

import (
	"net/http"
	"net/url"
	"strings"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/tell"
	"lostair/diagnose/duct/edit"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings/problem"
)

// place is what a question is about, found in the file as it is now.
type place struct {
	list, key, id string
	row           int
	path          edit.Path
	value         edit.Value
	of            edit.Value // the row
}

func placeAsked(d *desk.Desk) (place, error) {
	p := place{list: d.Form("list"), key: d.Form("key"), id: d.Form("id"), row: -1}
	gone := desk.Refuse(http.StatusConflict, "What this is about is no longer in the file.", "Somebody took it out or renamed it meanwhile. Go back to the shop.")
	switch p.list {
	case "":
		p.of = d.Doc.Root
		for _, k := range strings.Split(p.key, ".") {
			p.path = append(p.path, edit.Step{Key: k})
		}
		if len(p.path) == 2 {
			p.of = d.Doc.Root.Get(p.path[0].Key)
		}
		p.value = p.of.Get(p.path[len(p.path)-1].Key)
		return p, nil
	case "ducts", "ports", "machines":
	default:
		return p, desk.Refuse(http.StatusNotFound, "There is no such list in a system file.", "Go back to the shop.")
	}
	rows := d.Doc.Root.Get(p.list).Rows
	p.row = pages.Whole(d.Form("row"))
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
	p.value = tell.ValueIn(p.of, p.key)
	p.path = edit.At(p.list, p.row, p.key)
	return p, nil
}

func backTo(d *desk.Desk, p place) string {
	id := p.id
	switch p.list {
	case "ports":
		id = p.of.Get("duct").Text
	case "machines":
		id = ""
		if ports := tell.PortsOf(p.of); len(ports) > 0 {
			if i := d.Doc.Root.Get("ports").Row(ports[0]); i >= 0 {
				id = d.Doc.Root.Get("ports").Rows[i].Get("duct").Text
			}
		}
	}
	if id == "" {
		return "/shop?told=saved"
	}
	return "/shop?told=saved&run=" + url.QueryEscape(id) + "#run"
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

func valueAt(f *edit.File, p place) edit.Value {
	v := f.Root
	for _, s := range p.path {
		if s.Key != "" {
			v = tell.ValueIn(v, s.Key)
		} else if s.Row < len(v.Rows) {
			v = v.Rows[s.Row]
		}
	}
	return v
}

// newlyWrong is what check says of the place in a file that it did not say of it
// before.
func newlyWrong(d *desk.Desk, f *edit.File, p place) problem.List {
	_, list := systemfile.Load(f.Bytes(), desk.SystemName)
	before := map[string]bool{}
	for _, x := range d.Problems() {
		before[x.What] = true
	}
	w := tell.NewWording(d, list)
	inside := map[string]bool{}
	for _, t := range w.PullAll(valueAt(f, p)) {
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

// ownSize is the size of a port: its own, else that of the run that it is on.
func ownSize(d *desk.Desk, port edit.Value) string {
	ducts := d.Doc.Root.Get("ducts")
	size := openingSize(port.Get("opening"))
	if i := ducts.Row(port.Get("duct").Text); i >= 0 && size == "" {
		size = tell.ValueIn(ducts.Rows[i], "diameter").Text
	}
	return size
}

func openingSize(v edit.Value) string {
	if v.Form == edit.Keyed {
		return v.Get("width").Text + " x " + v.Get("height").Text
	}
	return v.Text
}
