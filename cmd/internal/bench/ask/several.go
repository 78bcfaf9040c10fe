package ask

import (
	"net/http"
	"slices"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/tell"
	"lostair/diagnose/duct/edit"
	"lostair/readings/units"
	"lostair/report/show"
)

// together makes a port serve a machine with another one, and adds up their needs: a
// machine has one. need is that of the new port where it isn't in the file yet.
func together(d *desk.Desk, port, with, need string) []edit.Change {
	root := d.Doc.Root
	rows := root.Get("ports").Rows
	if i := root.Get("ports").Row(port); i >= 0 {
		need = rows[i].Get("need").Text
	}
	var out []edit.Change
	free := func(id string) {
		if i := root.Get("ports").Row(id); i >= 0 && rows[i].Has("need") {
			out = append(out, edit.Delete(edit.At("ports", i, "need")))
		}
	}
	free(port)
	if m := tell.MachineOf(root, with); m >= 0 {
		of := root.Get("machines").Rows[m]
		if sum := sum(d, of.Get("need").Text, need); sum != "" {
			out = append(out, edit.Set(edit.At("machines", m, "need"), sum))
		}
		return append(out, edit.Set(edit.At("machines", m, "ports"), namesText(append(tell.PortsOf(of), port))))
	}
	other := ""
	if i := root.Get("ports").Row(with); i >= 0 {
		other = rows[i].Get("need").Text
	}
	free(with)
	if !root.Has("machines") {
		out = append(out, edit.Set(edit.At("machines"), "[]"))
	}
	return append(out, edit.Insert(edit.At("machines", len(root.Get("machines").Rows)),
		edit.Row("id", edit.Scalar(with), "ports", namesText([]string{with, port}), "need", sum(d, other, need))))
}

// hasNeedOfItsOwn says whether a machine's need is another than what carries the dust in
// its one port, which the page takes where nothing is said.
func hasNeedOfItsOwn(d *desk.Desk, id string) bool {
	root, u := d.Doc.Root, d.Units()
	if m := tell.MachineOf(root, id); m >= 0 {
		return root.Get("machines").Rows[m].Has("need")
	}
	i := root.Get("ports").Row(id)
	if i < 0 {
		return false
	}
	p := root.Get("ports").Rows[i]
	bore, ok := tell.SizeOf(ownSize(d, p), u)
	return p.Has("need") && (!ok || p.Get("need").Text != roundFlow(carries(bore), u))
}

// sum adds two needs; one that is not known leaves the other.
func sum(d *desk.Desk, a, b string) string {
	u := d.Units()
	x, err := units.Parse(a, units.Flow, u)
	y, err2 := units.Parse(b, units.Flow, u)
	switch {
	case err != nil:
		return amountOr(b)
	case err2 != nil:
		return amountOr(a)
	}
	return units.FormatBare(x.SI+y.SI, units.Flow, u)
}

// apart takes a port from its machine; a machine of one port alone is that port.
func apart(d *desk.Desk, port string) []edit.Change {
	root := d.Doc.Root
	m := tell.MachineOf(root, port)
	if m < 0 {
		return nil
	}
	of := root.Get("machines").Rows[m]
	rest := slices.DeleteFunc(tell.PortsOf(of), func(id string) bool { return id == port })
	if len(rest) > 1 {
		return []edit.Change{edit.Set(edit.At("machines", m, "ports"), namesText(rest))}
	}
	out := []edit.Change{edit.Delete(edit.At("machines", m))}
	if len(root.Get("machines").Rows) == 1 {
		out[0] = edit.Delete(edit.At("machines"))
	}
	for _, id := range rest {
		if i := root.Get("ports").Row(id); i >= 0 && of.Get("need").Text != "" {
			out = append(out, edit.Set(edit.At("ports", i, "need"), plainAmount(of.Get("need").Text)))
		}
	}
	return out
}

// setOthers answers which other port serves a port's machine.
func setOthers(d *desk.Desk, p place, value string, none bool) ([]edit.Change, error) {
	root := d.Doc.Root
	switch {
	case none:
		return apart(d, p.id), nil
	case value == "":
		return nil, desk.Refuse(http.StatusUnprocessableEntity, "Nothing was given.", "Tap the other port of this machine.")
	case root.Get("ports").Row(value) < 0 || value == p.id:
		return nil, desk.Refuse(http.StatusConflict, "There is no port “"+value+"” any more.", "Go back to the shop.")
	case tell.MachineOf(root, p.id) < 0:
		return together(d, p.id, value, ""), nil
	case tell.MachineOf(root, value) < 0:
		return together(d, value, p.id, ""), nil
	}
	return nil, desk.Refuse(http.StatusConflict, value+" serves another machine with others already.", "Let it stand alone first.")
}

// otherChips are the ports that may serve the same machine as one does.
func otherChips(d *desk.Desk, port string) []pages.Chip {
	root := d.Doc.Root
	mine := tell.MachineOf(root, port)
	var out []pages.Chip
	for _, r := range root.Get("ports").Rows {
		id := r.Get("id").Text
		m := tell.MachineOf(root, id)
		if id == "" || id == port || mine >= 0 && m >= 0 {
			continue
		}
		c := pages.Chip{Value: id, Text: id}
		if m >= 0 {
			of := root.Get("machines").Rows[m]
			c.Note = "with " + show.Listed(slices.DeleteFunc(tell.PortsOf(of), func(x string) bool { return x == id })) + ", at " + of.Get("id").Text
		}
		out = append(out, c)
	}
	return out
}

// ofChips are the machines that a new port may be another port of.
func ofChips(d *desk.Desk, now string) []pages.Chip {
	root := d.Doc.Root
	out := []pages.Chip{{Value: "", Text: "no, a machine of its own", Chosen: now == ""}}
	done := map[int]bool{}
	for _, r := range root.Get("ports").Rows {
		id := r.Get("id").Text
		m := tell.MachineOf(root, id)
		if id == "" || m >= 0 && done[m] {
			continue
		}
		c := pages.Chip{Value: id, Text: "of " + id, Chosen: id == now}
		if m >= 0 {
			done[m] = true
			c.Text = "of " + root.Get("machines").Rows[m].Get("id").Text
		}
		out = append(out, c)
	}
	if len(out) == 1 {
		return nil
	}
	return out
}
