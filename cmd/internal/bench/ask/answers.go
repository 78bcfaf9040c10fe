package ask

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/tell"
	"lostair/diagnose/duct/edit"
)

// changesFor turns an answer into changes of the file; none if it changes nothing.
func changesFor(d *desk.Desk, p place) ([]edit.Change, error) {
	none := d.Form("none") != ""
	value := d.Form("chip")
	if value == "" {
		value = d.Form("value")
	}
	set := func(text string) ([]edit.Change, error) {
		if text == "" {
			return nil, desk.Refuse(http.StatusUnprocessableEntity, "Nothing was given.", "Tap one of these, or type it.")
		}
		return []edit.Change{edit.Set(p.path, text)}, nil
	}
	if p.list == "ports" && p.key == "others" {
		return setOthers(d, p, value, none)
	}
	if none && slices.Contains([]string{":collector.cyclone", ":collector.filter", ":collector.fan", ":air", "ducts:gate", "ports:need", "ports:opening", "ducts:compressed"}, p.list+":"+p.key) {
		if p.value.Form == edit.Empty && !p.of.Has(p.path[len(p.path)-1].Key) {
			return nil, nil
		}
		return []edit.Change{edit.Delete(p.path)}, nil
	}
	switch p.list + ":" + p.key {
	case ":name":
		return set(textOr(value))
	case "ducts:id", "ports:id":
		return rename(d, p, value)
	case "ducts:into":
		return set(textOr(value))
	case "ducts:material":
		changes, err := set(textOr(value))
		if err == nil && p.of.Has("roughness") {
			changes = append(changes, edit.Delete(edit.At(p.list, p.row, "roughness")))
		}
		for _, k := range []string{"compressed", "lining"} { // of a hose alone
			if err == nil && value != "flexible" && p.of.Has(k) {
				changes = append(changes, edit.Delete(edit.At(p.list, p.row, k)))
			}
		}
		return changes, err
	case "ducts:diameter":
		if value == "" {
			return set("")
		}
		return setSize(p, value), nil
	case "ports:opening":
		return set(openingText(value))
	case "ducts:lining":
		return set(textOr(value))
	case "ducts:compressed":
		if _, err := strconv.ParseFloat(value, 64); err == nil {
			value += "%"
		}
		return set(amountOr(value))
	case "machines:id":
		return set(textOr(value))
	case "ports:hood", "ducts:enters", ":collector.inlet", ":collector.bin", "ducts:length", "ports:need", "machines:need":
		if value == "" {
			return set("")
		}
		return set(amountText(value))
	case "ducts:fittings":
		return setBends(d, p)
	case "ducts:gate":
		return setGate(d, p)
	case "ducts:taps":
		return setTaps(d, p)
	case ":collector.cyclone":
		changes, err := setDrop(d, p)
		if err == nil && !d.Doc.Root.Get("collector").Has("bin") {
			changes = append(changes, edit.Set(edit.At("collector", "bin"), "true")) // as most have; the sentence shows it
		}
		return changes, err
	case ":collector.filter":
		return setDrop(d, p)
	case ":air":
		return setKeys(d, p, "temperature", "altitude", "humidity")
	case ":collector.fan":
		return setFan(d, p)
	}
	return nil, desk.Refuse(http.StatusNotFound, "There is no such question.", "Go back to the shop.")
}

// setDrop takes what a part of the collector loses, or only that it is there.
func setDrop(d *desk.Desk, p place) ([]edit.Change, error) {
	if d.Form("chip") == "true" {
		return []edit.Change{edit.Set(p.path, "true")}, nil
	}
	return setKeys(d, p, "drop", "at")
}

func textOr(value string) string {
	if value == "" {
		return ""
	}
	return edit.Scalar(value)
}

// rename gives a run or a machine another name, wherever the file has it.
func rename(d *desk.Desk, p place, name string) ([]edit.Change, error) {
	if name == "" {
		return nil, desk.Refuse(http.StatusUnprocessableEntity, "Nothing was given.", "Type a name.")
	}
	if name == p.id {
		return nil, nil
	}
	text := edit.Scalar(name)
	out := []edit.Change{edit.Set(p.path, text)}
	if p.list == "ports" && p.id != "" {
		if m := tell.MachineOf(d.Doc.Root, p.id); m >= 0 {
			ids := tell.PortsOf(d.Doc.Root.Get("machines").Rows[m])
			ids[slices.Index(ids, p.id)] = name
			out = append(out, edit.Set(edit.At("machines", m, "ports"), namesText(ids)))
		}
	}
	if p.list != "ducts" || p.id == "" {
		return out, nil
	}
	for i, r := range d.Doc.Root.Get("ducts").Rows {
		if r.Get("into").Text == p.id {
			out = append(out, edit.Set(edit.At("ducts", i, "into"), text))
		}
	}
	for i, r := range d.Doc.Root.Get("ports").Rows {
		if r.Get("duct").Text == p.id {
			out = append(out, edit.Set(edit.At("ports", i, "duct"), text))
		}
	}
	return out, nil
}

// setKeys sets the keys of a section, each from the field of its name.
func setKeys(d *desk.Desk, p place, names ...string) ([]edit.Change, error) {
	var fresh []string
	var out []edit.Change
	for _, n := range names {
		text := d.Form(n)
		if text == "" {
			if p.value.Has(n) {
				out = append(out, edit.Delete(append(slices.Clone(p.path), edit.Step{Key: n})))
			}
			continue
		}
		text = amountText(text)
		if n == "humidity" && !strings.ContainsAny(text, "%") {
			text = text + "%"
		}
		fresh = append(fresh, n, text)
		out = append(out, edit.Set(append(slices.Clone(p.path), edit.Step{Key: n}), text))
	}
	if len(fresh) == 0 {
		return nil, desk.Refuse(http.StatusUnprocessableEntity, "Nothing was given.", "Fill it in, or leave the whole of it out.")
	}
	if p.value.Form != edit.Keyed {
		return []edit.Change{edit.Set(p.path, edit.Row(fresh...))}, nil
	}
	return out, nil
}

// setSize changes the size of a run, round or rectangular.
func setSize(p place, text string) []edit.Change {
	var out []edit.Change
	pairs := sizePairs(text)
	for i := 0; i < len(pairs); i += 2 {
		out = append(out, edit.Set(edit.At(p.list, p.row, pairs[i]), pairs[i+1]))
	}
	other := []string{"width", "height"}
	if len(pairs) > 2 {
		other = []string{"diameter"}
	}
	for _, k := range other {
		if p.of.Has(k) {
			out = append(out, edit.Delete(edit.At(p.list, p.row, k)))
		}
	}
	return out
}

// setBends sets how often a run turns; other fittings stay.
func setBends(d *desk.Desk, p place) ([]edit.Change, error) {
	var rows []string
	for _, r := range p.value.Rows {
		if a := strings.TrimSuffix(r.Get("elbow").Text, "°"); a != "90" && a != "45" {
			rows = append(rows, inline1(r))
		}
	}
	bends := bendRows(d.Form("n90"), d.Form("n45"), d.Form("radius"))
	rows = append(bends, rows...)
	if len(rows) == 0 {
		if p.of.Has("fittings") {
			return []edit.Change{edit.Delete(p.path)}, nil
		}
		return nil, nil
	}
	return []edit.Change{edit.Set(p.path, "["+strings.Join(rows, ", ")+"]")}, nil
}

func bendRows(n90, n45, radius string) []string {
	if radius == "" {
		radius = "1.5"
	}
	var out []string
	for _, b := range [][2]string{{"90", n90}, {"45", n45}} {
		switch n := pages.Whole(b[1]); {
		case n == 1:
			out = append(out, edit.Row("elbow", b[0], "radius", amountText(radius)))
		case n > 1:
			out = append(out, edit.Row("elbow", b[0], "radius", amountText(radius), "count", strconv.Itoa(n)))
		}
	}
	return out
}

// inline1 writes a value on one line.
func inline1(v edit.Value) string {
	switch v.Form {
	case edit.Keyed:
		var pairs []string
		for _, e := range v.Keys {
			pairs = append(pairs, edit.Scalar(e.Key), inline1(e.Value))
		}
		return edit.Row(pairs...)
	case edit.List:
		var parts []string
		for _, r := range v.Rows {
			parts = append(parts, inline1(r))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return plainAmount(v.Text)
}

func setGate(d *desk.Desk, p place) ([]edit.Change, error) {
	name := d.Form("gate")
	if name == "" {
		return nil, desk.Refuse(http.StatusUnprocessableEntity, "The gate has no name.", "Type one: that of the machine will do.")
	}
	text := edit.Scalar(name)
	if d.Form("end") == "downstream" {
		text = edit.Row("id", text, "at", "downstream")
	}
	return []edit.Change{edit.Set(p.path, text)}, nil
}

func setTaps(d *desk.Desk, p place) ([]edit.Change, error) {
	var pairs []string
	for i, t := range p.value.Keys {
		if at := d.Form("tap" + strconv.Itoa(i)); at != "" {
			pairs = append(pairs, edit.Scalar(t.Key), amountText(at))
		}
	}
	if at := d.Form("at"); at != "" {
		name := d.Form("name")
		if name == "" {
			return nil, desk.Refuse(http.StatusUnprocessableEntity, "The hole has no name.", "Type a short one, such as T1: the readings go by it.")
		}
		pairs = append(pairs, edit.Scalar(name), amountText(at))
	}
	switch {
	case len(pairs) == 0 && !p.of.Has("taps"):
		return nil, nil
	case len(pairs) == 0:
		return []edit.Change{edit.Delete(p.path)}, nil
	}
	return []edit.Change{edit.Set(p.path, edit.Row(pairs...))}, nil
}

// setFan takes what is known of the fan: the curve before all else.
func setFan(d *desk.Desk, p place) ([]edit.Change, error) {
	var points []string
	for _, line := range strings.Split(d.Request.FormValue("table"), "\n") {
		f := strings.FieldsFunc(strings.TrimSpace(line), func(r rune) bool { return r == ' ' || r == '\t' || r == ';' || r == '\u00a0' })
		if len(f) == 1 && strings.Count(f[0], ",") == 1 {
			f = strings.Split(f[0], ",")
		}
		switch len(f) {
		case 0:
		case 2:
			points = append(points, "["+amountText(f[0])+", "+amountText(f[1])+"]")
		default:
			return nil, desk.Refuse(http.StatusUnprocessableEntity, "“"+strings.TrimSpace(line)+"” is not a pair of numbers.", "Write the flow, a blank, and the suction at that flow; one pair a line.")
		}
	}
	var pairs []string
	switch {
	case len(points) > 0:
		pairs = []string{"curve", "[" + strings.Join(points, ", ") + "]"}
		if rho := p.value.Get("density").Text; rho != "" {
			pairs = append(pairs, "density", plainAmount(rho))
		}
	case d.Form("most_air") != "" || d.Form("most_suction") != "":
		pairs = []string{"most_air", amountOr(d.Form("most_air")), "most_suction", amountOr(d.Form("most_suction"))}
	case d.Form("motor") != "" || d.Form("wheel") != "":
		pairs = []string{"motor", amountOr(d.Form("motor")), "wheel", amountOr(d.Form("wheel"))}
	default:
		return nil, desk.Refuse(http.StatusUnprocessableEntity, "Nothing was given.", "Type at least two points of its curve.")
	}
	if inc := p.value.Get("includes"); inc.Form == edit.List {
		pairs = append(pairs, "includes", inline1(inc))
	}
	if text := edit.Row(pairs...); p.value.Form == edit.Empty || canon(p.value) != text {
		return []edit.Change{edit.Set(p.path, text)}, nil
	}
	return nil, nil
}
