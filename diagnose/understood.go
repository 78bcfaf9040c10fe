package diagnose

import (
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/problem"
)

// Understand puts the system's own ids into a survey where another is certain to
// mean one: an id in other letters, capital or small, a hyphen or an underscore, if
// that is unique, and a port in the place of a gate, if it has one gate of its own. What was put right
// is said once a file, as a warning.
func Understand(sys *duct.System, s *readings.Survey) problem.List {
	u := &understanding{gates: spellings(sys.Gates()), gateOf: map[string]string{}}
	var ports, points, instruments []string
	for i := range sys.Ports {
		p := sys.Ports[i].ID
		ports = append(ports, p)
		if g := sys.GatesOf(i); len(g) == 1 {
			u.gateOf[p] = g[0]
		}
	}
	points = append(append(points, ports...), readings.ReservedPoints()...)
	for i := range sys.Ducts {
		for _, t := range sys.Ducts[i].Taps {
			points = append(points, t.ID)
		}
	}
	for i := range sys.Instruments {
		instruments = append(instruments, sys.Instruments[i].ID)
	}
	u.ports, u.points, u.instruments = spellings(ports), spellings(points), spellings(instruments)
	for i := range s.Rows {
		u.row(&s.Rows[i])
	}
	for i := range s.Broken {
		u.row(&s.Broken[i])
	}
	u.points = spellings(append(append(points, sys.Gates()...), ductIDs(sys)...))
	for i := range s.Looks {
		u.row(&s.Looks[i])
	}
	u.points = spellings(points)
	for i := range s.Readings {
		r := &s.Readings[i]
		r.Open.Gates, r.HoseOff = u.open(nil, r.Open.Gates), u.each(nil, u.ports, r.HoseOff)
		r.Point, r.Instrument = u.id(nil, u.points, r.Point), u.id(nil, u.instruments, r.Instrument)
	}
	return u.said(s.File)
}

func ductIDs(sys *duct.System) (out []string) {
	for i := range sys.Ducts {
		out = append(out, sys.Ducts[i].ID)
	}
	return out
}

// spelling is a set of ids and what each means in small letters, with a hyphen for
// blank and underscore; "" if two ids differ in these alone.
type spelling map[string]string

var hyphens = strings.NewReplacer("_", "-", " ", "-")

func folded(id string) string { return hyphens.Replace(strings.ToLower(id)) }

func spellings(ids []string) spelling {
	out := spelling{}
	for _, id := range ids {
		out[id] = id
	}
	for _, id := range ids {
		low := folded(id)
		switch other, ok := out[low]; {
		case !ok:
			out[low] = id
		case other != id && other != low:
			out[low] = ""
		}
	}
	return out
}

// understanding gathers what was put right, in the order of the file.
type understanding struct {
	gates, ports, points, instruments spelling
	gateOf                            map[string]string
	cases, byPort                     []instead
}

// instead is one id that stood for another, at its first row.
type instead struct {
	was, is      string
	line, column int
}

func (u *understanding) row(r *readings.Row) {
	c := r.Columns
	at := func(column int) *instead { return &instead{line: r.Line, column: column} }
	r.Open.Gates = u.open(at(c.Open), r.Open.Gates)
	r.HoseOff = u.each(at(c.HoseOff), u.ports, r.HoseOff)
	r.Point = u.id(at(c.Point), u.points, r.Point)
	r.Instrument = u.id(at(c.Instrument), u.instruments, r.Instrument)
}

// open is the gates that are meant; at may be nil: nothing is said.
func (u *understanding) open(at *instead, ids []string) []string {
	out := u.each(at, u.gates, ids)
	for i, id := range out {
		if u.gates[id] == id {
			continue
		}
		if g := u.gateOf[u.ports[folded(id)]]; g != "" {
			out[i] = g
			note(&u.byPort, at, id, g)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func (u *understanding) each(at *instead, ids spelling, list []string) []string {
	if len(list) == 0 {
		return list
	}
	out := make([]string, len(list))
	for i, id := range list {
		out[i] = u.id(at, ids, id)
	}
	return out
}

func (u *understanding) id(at *instead, ids spelling, id string) string {
	if ids[id] == id {
		return id
	}
	is := ids[folded(id)]
	if is == "" {
		return id
	}
	note(&u.cases, at, id, is)
	return is
}

// note keeps each pair once.
func note(list *[]instead, at *instead, was, is string) {
	if at == nil || slices.ContainsFunc(*list, func(x instead) bool { return x.was == was && x.is == is }) {
		return
	}
	at = &instead{was, is, at.line, at.column}
	*list = append(*list, *at)
}

// said warns once of each sort.
func (u *understanding) said(file string) problem.List {
	var out problem.List
	add := func(list []instead, what, one, more, do string) {
		if len(list) == 0 {
			return
		}
		x := list[0]
		w := fmt.Sprintf(what, x.was, x.is)
		switch n := len(list) - 1; n {
		case 0:
		case 1:
			w += one
		default:
			w += fmt.Sprintf(more, n)
		}
		out = append(out, problem.Problem{File: file, Line: x.line, Column: x.column, Warning: true, What: w, Do: do})
	}
	add(u.cases, "%q is read as %q of the system file", ", and 1 more id in other letters as its", ", and %d more ids in other letters as theirs", "write ids alike in both files")
	add(u.byPort, "%q is a port and stands where gates do; its gate %q is meant", ", and so for 1 more", ", and so for %d more", "write the gate's id")
	return out
}
