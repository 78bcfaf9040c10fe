package runs

import (
	"cmp"
	"strconv"
	"strings"

	"lostair/diagnose/duct/edit"
	"lostair/readings/problem"
)

// Onto adds the runs of a table, with their machines, to a system file. What can't
// be understood is a problem of the table; the values themselves are check's to judge.
func Onto(f *edit.File, list []Run, table string) (*edit.File, problem.List) {
	o := &onto{list: list, table: table, at: map[string]int{}}
	for _, k := range []string{"ducts", "ports", "machines"} {
		o.at[k] = len(f.Root.Get(k).Rows)
	}
	ports := o.named(f.Root)
	for i := range list {
		r := &list[i]
		row, ok := o.duct(r)
		if !ok {
			continue
		}
		o.insert("ducts", row)
		if ports[i].id != "" {
			o.insert("ports", o.port(r, ports[i]))
		}
	}
	o.machines(ports)
	if o.out.Err() != nil {
		return nil, o.out
	}
	if len(f.Root.Get("machines").Rows) == 0 && o.at["machines"] > 0 && !f.Root.Has("machines") {
		o.changes = append([]edit.Change{edit.Set(edit.At("machines"), "[]")}, o.changes...)
	}
	g, err := f.Apply(o.changes...)
	if err != nil {
		return nil, problem.List{{File: table, What: "the table can't be put into the system file: " + err.Error()}}
	}
	return g, nil
}

// Of lists the runs of a system file.
func Of(root edit.Value) []Run {
	var out []Run
	ports := root.Get("ports").Rows
	serves := map[string]edit.Value{} // machines by the port's id
	first := map[string]bool{}        // ports on whose rows their machines' needs go
	for _, m := range root.Get("machines").Rows {
		for k, p := range m.Get("ports").Rows {
			serves[p.Text], first[p.Text] = m, k == 0
		}
	}
	for _, d := range root.Get("ducts").Rows {
		r := Run{ID: d.Get("id").Text, Into: d.Get("into").Text, Enters: cmp.Or(d.Get("enters").Text, "straight"), Size: sizeCell(d.Get("diameter"), d),
			Length: d.Get("length").Text, Material: d.Get("material").Text, Bends: fittingCell(fittings(d.Get("fittings"))), Roughness: d.Get("roughness").Text,
			Compressed: d.Get("compressed").Text, Lining: d.Get("lining").Text, Taper: d.Get("taper").Text}
		if g := d.Get("gate"); g.Form == edit.Keyed {
			r.Gate, r.GateAt = g.Get("id").Text, g.Get("at").Text
		} else {
			r.Gate = g.Text
		}
		var taps []tap
		for _, t := range d.Get("taps").Keys {
			taps = append(taps, tap{t.Key, t.Value.Text})
		}
		r.Taps = tapCell(taps)
		for _, p := range ports {
			if p.Get("duct").Text != r.ID || r.ID == "" {
				continue
			}
			id := p.Get("id").Text
			r.Machine, r.Need, r.Hood, r.What = id, p.Get("need").Text, p.Get("hood").Text, p.Get("machine").Text
			if a := p.Get("angle").Text; a != "" {
				r.Hood += " " + strings.TrimSuffix(a, "°")
			}
			r.Opening = sizeCell(p.Get("opening"), p.Get("opening"))
			if m, ok := serves[id]; ok {
				r.Machine, r.Port = m.Get("id").Text, id
				if first[id] {
					r.Need = m.Get("need").Text
				}
			}
		}
		out = append(out, r)
	}
	return out
}

// sizeCell is a diameter, or the sides of a rectangle.
func sizeCell(round, sides edit.Value) string {
	if w, h := sides.Get("width").Text, sides.Get("height").Text; w != "" && h != "" {
		return w + " x " + h
	}
	return round.Text
}

func fittings(v edit.Value) []Fitting {
	var out []Fitting
	for _, f := range v.Rows {
		x := Fitting{Angle: strings.TrimSuffix(f.Get("elbow").Text, "°"), Radius: f.Get("radius").Text, Loss: f.Get("loss").Text, Count: 1, What: f.Get("what").Text}
		if n, err := strconv.Atoi(f.Get("count").Text); err == nil {
			x.Count = n
		}
		if x.Radius == usualRadius || x.Angle == "" {
			x.Radius = ""
		}
		out = append(out, x)
	}
	return out
}
