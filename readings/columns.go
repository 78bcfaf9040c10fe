package readings

import (
	"fmt"
	"slices"
	"strings"

	"lostair/readings/csvtext"
	"lostair/readings/problem"
)

// Column is one column of a readings file.
type Column struct {
	Name   string
	Needed bool   // no file can do without it
	Rare   bool   // read, but not written: who has use for it adds it
	What   string // what it holds, in a few words
}

// columns stand in the order in which Write puts them.
var columns = [...]Column{
	{Name: "date", What: "day of the reading, as 2026-03-02, or in another form that can be read only one way"},
	{Name: "open", Needed: true, What: "gates open while reading: ids joined with +, all or none; a port without a gate is always open"},
	{Name: "point", Needed: true, What: "a tap, a port (its mouth), or a point at the collector"},
	{Name: "quantity", Needed: true, What: "what was read"},
	{Name: "value", Needed: true, What: "a decimal number"},
	{Name: "unit", What: "unit of value; left out: that of the system file"},
	{Name: "instrument", What: "id of an instrument of the system file"},
	{Name: "hose_off", What: "ports, joined with +, at which the hose was off the machine while reading"},
	{Name: "position", What: "of a traverse: number of the measuring position"},
	{Name: "note", What: "any text"},
	{Name: "factor", Rare: true, What: "what value is to be multiplied by: of a velocity or flow read with a hood or cone of known factor over the port"},
}

// ColumnTable lists the columns of a readings file.
func ColumnTable() []Column { return append([]Column(nil), columns[:]...) }

// columnNames are the names of the columns.
var columnNames = func() (out []string) {
	for _, c := range columns {
		out = append(out, c.Name)
	}
	return out
}()

// writtenNames are the names of those that are written.
var writtenNames = func() (out []string) {
	for _, c := range columns {
		if !c.Rare {
			out = append(out, c.Name)
		}
	}
	return out
}()

// needed lists the columns that no file can do without.
func needed() (out []string) {
	for _, c := range columns {
		if c.Needed {
			out = append(out, c.Name)
		}
	}
	return out
}

// hasAll is whether the needed columns are there, so that looking at the rows
// makes sense.
func hasAll(names []string) bool {
	have := map[string]bool{}
	for _, n := range names {
		have[n] = true
	}
	for _, n := range needed() {
		if !have[n] {
			return false
		}
	}
	return true
}

// columnNamed is the column that a header means, "" if none: case does not
// matter, and a space or hyphen stands for the underscore.
func columnNamed(header string) string {
	h := csvtext.FoldName(header)
	if slices.Contains(columnNames, h) {
		return h
	}
	return ""
}

// header reads the header row: the column that each field holds, "" for one
// that is not read.
func (p *problems) header(h record) []string {
	out := make([]string, len(h.fields))
	first := map[string]int{}
	var strangers []int
	for i, f := range h.fields {
		name := columnNamed(f)
		if before, twice := first[name]; twice && name != "" {
			p.fail(h.line, h.columns[i], fmt.Sprintf("the column %q stands here again, after column %d of the line", name, h.columns[before]), "keep one of them")
			continue
		}
		if name == "" && f != "" {
			strangers = append(strangers, i)
		}
		first[name], out[i] = i, name
	}
	p.missing(h, first, strangers)
	return out
}

// namesOf are the columns that a header row names, "" for one that there isn't.
func namesOf(h record) (out []string) {
	for _, f := range h.fields {
		out = append(out, columnNamed(f))
	}
	return out
}

// missing reports the columns that are needed and not there, and those there
// that are not known.
func (p *problems) missing(h record, have map[string]int, strangers []int) {
	var free []string
	for _, n := range columnNames {
		if _, ok := have[n]; !ok {
			free = append(free, n)
		}
	}
	if len(free) == len(columnNames) {
		p.fail(h.line, 0, "the first row names no column of a readings file", "begin with a header row: "+strings.Join(writtenNames, ","))
		return
	}
	for _, n := range needed() {
		if slices.Contains(free, n) {
			p.fail(h.line, 0, fmt.Sprintf("the column %q is missing", n), p.renamed(h, strangers, free, n))
		}
	}
	for _, i := range strangers {
		do := "columns are " + strings.Join(columnNames, ", ")
		if near, ok := problem.Nearest(csvtext.FoldName(h.fields[i]), free); ok {
			do = fmt.Sprintf("did you mean %q?", near)
		}
		p.warn(h.line, h.columns[i], fmt.Sprintf("the column %s is not known and is not read", quote(h.fields[i])), do)
	}
}

// renamed says what to do about the missing column n.
func (p *problems) renamed(h record, strangers []int, free []string, n string) string {
	for _, i := range strangers {
		if near, ok := problem.Nearest(csvtext.FoldName(h.fields[i]), free); ok && near == n {
			return fmt.Sprintf("should %s be it?", quote(h.fields[i]))
		}
	}
	return "add it; needed are " + problem.AndList(needed())
}
