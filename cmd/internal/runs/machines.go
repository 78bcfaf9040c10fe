package runs

import (
	"cmp"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"lostair/diagnose/duct/edit"
	"lostair/readings/units"
)

// portName is the id of a run's port.
type portName struct {
	id      string // "": the run has none
	machine string // that it serves with others; "": it is its machine
}

// named gives each run's port its id. The ports of one machine go by names of their
// own: those of the table, or the machine's with a number.
func (o *onto) named(root edit.Value) []portName {
	rows := map[string]int{}
	taken := map[string]bool{}
	for _, k := range []string{"ducts", "ports"} {
		for _, r := range root.Get(k).Rows {
			taken[r.Get("id").Text] = true
		}
	}
	for i := range o.list {
		r := &o.list[i]
		rows[r.Machine]++
		taken[r.ID], taken[r.Port], taken[r.Gate] = true, true, true
	}
	out := make([]portName, len(o.list))
	count := map[string]int{}
	for i := range o.list {
		r := &o.list[i]
		switch {
		case r.Machine == "":
		case r.Port == "" && rows[r.Machine] == 1:
			out[i].id = r.Machine
		default:
			out[i] = portName{r.Port, r.Machine}
			for out[i].id == "" || r.Port == "" && taken[out[i].id] {
				count[r.Machine]++
				out[i].id = r.Machine + "-" + strconv.Itoa(count[r.Machine])
			}
			taken[out[i].id] = true
		}
	}
	return out
}

// aSize is a cell that is a size and no name.
var aSize = regexp.MustCompile(`^[0-9][0-9.,/ ]*(mm|cm|m|in|inch|inches|"|”)?( ?[x×X*].*)?$`)

// port writes the row of a run's port.
func (o *onto) port(r *Run, p portName) string {
	if aSize.MatchString(r.Port) {
		o.refuse(r, fmt.Sprintf("the port %q is a size and no name", r.Port), "name that column opening: it is the size of the machine's own port")
	}
	hood, angle := cmp.Or(r.Hood, UsualHood), ""
	if m := taperedHood.FindStringSubmatch(strings.ToLower(hood)); m != nil {
		hood, angle = m[1], m[2]
	}
	opening := plain(r.Opening)
	if w, h, ok := SidesOf(r.Opening); ok {
		opening = edit.Row("width", plain(w), "height", plain(h))
	} else if r.Opening != "" && !isAmount(r.Opening, units.Diameter) {
		o.refuse(r, fmt.Sprintf("the opening %q is no size", r.Opening), "write the inside diameter of the machine's own port, or its width x height, as 60 x 250; leave it out where the port is as wide as the run")
	}
	need, what := plain(r.Need), ""
	if p.machine != "" {
		need = ""
	}
	if r.What != "" {
		what = edit.Scalar(r.What)
	}
	return edit.Row("id", edit.Scalar(p.id), "duct", edit.Scalar(r.ID), "hood", plain(hood), "angle", plain(angle), "need", need, "opening", opening, "machine", what)
}

// machines adds those that several ports serve.
func (o *onto) machines(ports []portName) {
	seen := map[string]bool{}
	for i := range o.list {
		name := ports[i].machine
		if name == "" || seen[name] {
			continue
		}
		seen[name] = true
		var ids []string
		var needs *Run
		for k := range o.list {
			if ports[k].machine != name {
				continue
			}
			ids = append(ids, edit.Scalar(ports[k].id))
			switch r := &o.list[k]; {
			case r.Need == "":
			case needs != nil:
				o.refuse(r, fmt.Sprintf("machine %q has a need in row %d already", name, needs.Line), "write what it needs in all on one of its rows and leave it out on the others; if they are two machines, give each a name of its own")
			default:
				needs = r
			}
		}
		need := ""
		if needs != nil {
			need = plain(needs.Need)
		}
		o.insert("machines", edit.Row("id", edit.Scalar(name), "ports", list(ids), "need", need))
	}
}
