package bench

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"lostair/cmd/internal/bench/pages"
	"lostair/diagnose/duct/edit"
)

// changesFor turns an answer into changes of the file; none if it changes nothing.
func (d *desk) changesFor(p place) ([]edit.Change, error) {
	none := d.form("none") != ""
	value := d.form("chip")
	if value == "" {
		value = d.form("value")
	}
	set := func(text string) ([]edit.Change, error) {
		if text == "" {
			return nil, wrong{http.StatusUnprocessableEntity, "Nothing was given.", "Tap one of these, or type it."}
		}
		return []edit.Change{edit.Set(p.path, text)}, nil
	}
	if p.list == "ports" && p.key == "others" {
		return d.setOthers(p, value, none)
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
		return d.rename(p, value)
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
		return d.bends(p)
	case "ducts:gate":
		return d.gate(p)
	case "ducts:taps":
		return d.taps(p)
	case ":collector.cyclone":
		changes, err := d.drop(p)
		if err == nil && !d.doc.Root.Get("collector").Has("bin") {
			changes = append(changes, edit.Set(edit.At("collector", "bin"), "true")) // as most have; the sentence shows it
		}
		return changes, err
	case ":collector.filter":
		return d.drop(p)
	case ":air":
		return d.keys(p, "temperature", "altitude", "humidity")
	case ":collector.fan":
		return d.fan(p)
	}
	return nil, wrong{http.StatusNotFound, "There is no such question.", "Go back to the shop."}
}

// drop takes what a part of the collector loses, or only that it is there.
func (d *desk) drop(p place) ([]edit.Change, error) {
	if d.form("chip") == "true" {
		return []edit.Change{edit.Set(p.path, "true")}, nil
	}
	return d.keys(p, "drop", "at")
}

func textOr(value string) string {
	if value == "" {
		return ""
	}
	return edit.Scalar(value)
}

// rename gives a run or a machine another name, wherever the file has it.
func (d *desk) rename(p place, name string) ([]edit.Change, error) {
	if name == "" {
		return nil, wrong{http.StatusUnprocessableEntity, "Nothing was given.", "Type a name."}
	}
	if name == p.id {
		return nil, nil
	}
	text := edit.Scalar(name)
	out := []edit.Change{edit.Set(p.path, text)}
	if p.list == "ports" && p.id != "" {
		if m := machineOf(d.doc.Root, p.id); m >= 0 {
			ids := portsOf(d.doc.Root.Get("machines").Rows[m])
			ids[slices.Index(ids, p.id)] = name
			out = append(out, edit.Set(edit.At("machines", m, "ports"), namesText(ids)))
		}
	}
	if p.list != "ducts" || p.id == "" {
		return out, nil
	}
	for i, r := range d.doc.Root.Get("ducts").Rows {
		if r.Get("into").Text == p.id {
			out = append(out, edit.Set(edit.At("ducts", i, "into"), text))
		}
	}
	for i, r := range d.doc.Root.Get("ports").Rows {
		if r.Get("duct").Text == p.id {
			out = append(out, edit.Set(edit.At("ports", i, "duct"), text))
		}
	}
	return out, nil
}

// keys sets the keys of a section, each from the field of its name.
func (d *desk) keys(p place, names ...string) ([]edit.Change, error) {
	var fresh []string
	var out []edit.Change
	for _, n := range names {
		text := d.form(n)
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
		return nil, wrong{http.StatusUnprocessableEntity, "Nothing was given.", "Fill it in, or leave the whole of it out."}
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

// bends sets how often a run turns; other fittings stay.
func (d *desk) bends(p place) ([]edit.Change, error) {
	var rows []string
	for _, r := range p.value.Rows {
		if a := strings.TrimSuffix(r.Get("elbow").Text, "°"); a != "90" && a != "45" {
			rows = append(rows, inline1(r))
		}
	}
	bends := bendRows(d.form("n90"), d.form("n45"), d.form("radius"))
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

func (d *desk) gate(p place) ([]edit.Change, error) {
	name := d.form("gate")
	if name == "" {
		return nil, wrong{http.StatusUnprocessableEntity, "The gate has no name.", "Type one: that of the machine will do."}
	}
	text := edit.Scalar(name)
	if d.form("end") == "downstream" {
		text = edit.Row("id", text, "at", "downstream")
	}
	return []edit.Change{edit.Set(p.path, text)}, nil
}

func (d *desk) taps(p place) ([]edit.Change, error) {
	var pairs []string
	for i, t := range p.value.Keys {
		if at := d.form("tap" + strconv.Itoa(i)); at != "" {
			pairs = append(pairs, edit.Scalar(t.Key), amountText(at))
		}
	}
	if at := d.form("at"); at != "" {
		name := d.form("name")
		if name == "" {
			return nil, wrong{http.StatusUnprocessableEntity, "The hole has no name.", "Type a short one, such as T1: the readings go by it."}
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

// fan takes what is known of the fan: the curve before all else.
func (d *desk) fan(p place) ([]edit.Change, error) {
	var points []string
	for _, line := range strings.Split(d.r.FormValue("table"), "\n") {
		f := strings.FieldsFunc(strings.TrimSpace(line), func(r rune) bool { return r == ' ' || r == '\t' || r == ';' || r == '\u00a0' })
		if len(f) == 1 && strings.Count(f[0], ",") == 1 {
			f = strings.Split(f[0], ",")
		}
		switch len(f) {
		case 0:
		case 2:
			points = append(points, "["+amountText(f[0])+", "+amountText(f[1])+"]")
		default:
			return nil, wrong{http.StatusUnprocessableEntity, "“" + strings.TrimSpace(line) + "” is not a pair of numbers.", "Write the flow, a blank, and the suction at that flow; one pair a line."}
		}
	}
	var pairs []string
	switch {
	case len(points) > 0:
		pairs = []string{"curve", "[" + strings.Join(points, ", ") + "]"}
		if rho := p.value.Get("density").Text; rho != "" {
			pairs = append(pairs, "density", plainAmount(rho))
		}
	case d.form("most_air") != "" || d.form("most_suction") != "":
		pairs = []string{"most_air", amountOr(d.form("most_air")), "most_suction", amountOr(d.form("most_suction"))}
	case d.form("motor") != "" || d.form("wheel") != "":
		pairs = []string{"motor", amountOr(d.form("motor")), "wheel", amountOr(d.form("wheel"))}
	default:
		return nil, wrong{http.StatusUnprocessableEntity, "Nothing was given.", "Type at least two points of its curve."}
	}
	if inc := p.value.Get("includes"); inc.Form == edit.List {
		pairs = append(pairs, "includes", inline1(inc))
	}
	if text := edit.Row(pairs...); p.value.Form == edit.Empty || canon(p.value) != text {
		return []edit.Change{edit.Set(p.path, text)}, nil
	}
	return nil, nil
}
