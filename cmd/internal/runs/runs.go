// Package runs reads and writes the ducts of a shop as a table, one row a run of
// pipe or hose, as people keep it in a spreadsheet.
//
// A table that Of and Write make of a system file gives the same ducts, ports and
// machines when Read and Onto put it into another: Columns says what stands where.
// What lies behind the ducts (collector, fan, instruments) is not in a table.
package runs

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strings"

	"lostair/readings/problem"
	"lostair/readings/units"
	"lostair/readings/workbook"
)

// Run is one row: what each cell says, as it is written.
type Run struct {
	Line                                     int
	Sheet                                    string // of a workbook; "": Line is of a file with lines
	ID, Into, Enters, Size, Length, Material string
	Bends, Gate, GateAt, Machine, Need, Hood string
	Taps, Opening, Compressed, Lining        string
	Port, What, Taper, Roughness             string
}

// UsualHood is what a machine's own hood is taken to lose where a table doesn't say.
// Common practice, no source.
const UsualHood = "1.0"

// Column is one column of the table, with the names that it goes by.
type Column struct {
	Name  string
	Also  []string
	What  string
	field func(r *Run) *string
}

var columns = [...]Column{
	{"id", []string{"name", "run", "duct"}, "name of the run; left out: its machine's, or its number", func(r *Run) *string { return &r.ID }},
	{"into", []string{"flows into", "joins", "to"}, "the run that it flows into, or collector; needed", func(r *Run) *string { return &r.Into }},
	{"enters", []string{"angle", "joins at", "at", "branch angle", "join angle", "wye angle", "enters at"}, "straight, or the angle of the branch: 45, 45 wye", func(r *Run) *string { return &r.Enters }},
	{"size", []string{"diameter", "bore", "dia", "inside diameter"}, "inside diameter; of a rectangular duct width x height, as 200 x 100; needed", func(r *Run) *string { return &r.Size }},
	{"length", []string{"len", "long"}, "along its middle; needed", func(r *Run) *string { return &r.Length }},
	{"material", []string{"pipe", "made of", "type"}, "spiral (left out), hose, pvc and the others that lostair formats lists", func(r *Run) *string { return &r.Material }},
	{"bends", []string{"elbows", "bend", "elbow", "fittings"}, "how many right-angled ones, or 2x90 + 45 R1 (R: radius over size, 1.5 if left out) + loss 0.3 (grille)", func(r *Run) *string { return &r.Bends }},
	{"gate", []string{"blast gate"}, "name of its blast gate", func(r *Run) *string { return &r.Gate }},
	{"gate_at", []string{"gate at", "gate end", "gate location", "gate position", "gate place"}, "upstream (the machine's end; left out) or downstream", func(r *Run) *string { return &r.GateAt }},
	{"machine", []string{"tool", "serves"}, "the machine at its far end; on several rows: one machine with so many ports", func(r *Run) *string { return &r.Machine }},
	{"need", []string{"needs", "needed", "required", "flow", "air", "airflow", "air flow", "air needed", "flow needed", "air required", "flow required"}, "flow that the machine needs; of one with several ports in all, on one of its rows", func(r *Run) *string { return &r.Need }},
	{"hood", []string{"hood loss"}, "kind of hood or its loss, as tapered 30, flanged, 1.2; left out: " + UsualHood, func(r *Run) *string { return &r.Hood }},
	{"taps", []string{"tap", "hole", "holes", "tap at", "hole at", "gauge hole", "gauge holes", "test hole", "test holes", "pressure tap", "pressure taps", "tap distance"}, "holes for the gauge, each with its distance from the far end: T1: 4.5 + T2: 9; or the distance alone", func(r *Run) *string { return &r.Taps }},
	{"opening", []string{"port size", "port diameter", "port bore", "own port", "machine port size", "machine opening", "machine port", "outlet", "outlet size"}, "size of the machine's own port, or width x height; left out: as wide as the run", func(r *Run) *string { return &r.Opening }},
	{"compressed", []string{"compression", "squeezed", "pushed together", "shorter by"}, "of a hose: how much shorter it lies than stretched out, as 15%", func(r *Run) *string { return &r.Compressed }},
	{"lining", []string{"lined", "hose lining", "hose inside", "inside wall"}, "of a hose: smooth, or ribbed (left out)", func(r *Run) *string { return &r.Lining }},
	{"port", []string{"port name", "inlet"}, "name of the port, of a machine with several; without a machine that of the machine", func(r *Run) *string { return &r.Port }},
	{"stands_there", []string{"what stands there", "model", "machine type"}, "what the machine is, in words", func(r *Run) *string { return &r.What }},
	{"taper", []string{"reducer", "change of size"}, "abrupt where the size changes in a step at its downstream end; left out: smooth", func(r *Run) *string { return &r.Taper }},
	{"roughness", []string{"wall roughness"}, "height of the wall's roughness, in place of a material", func(r *Run) *string { return &r.Roughness }},
}

// measures are the columns of which a header may give the unit.
var measures = map[string]units.Dimension{"size": units.Diameter, "length": units.Length, "need": units.Flow,
	"taps": units.Length, "opening": units.Diameter, "compressed": units.Share, "roughness": units.Roughness}

// Columns lists the columns.
func Columns() []Column { return columns[:] }

// Names lists the columns.
func Names() []string {
	var out []string
	for _, c := range columns {
		out = append(out, c.Name)
	}
	return out
}

// mostRows is how many runs a table may have.
const mostRows = 5000

// Read reads a table: comma, semicolon or tab between cells, a header row with the
// columns in any order under any of their names, a unit beside a name ("length (ft)",
// "length in feet", "cfm needed") if its numbers have none of their own. It may be a
// workbook.
func Read(data []byte, file string) ([]Run, problem.List) {
	if workbook.Is(data) {
		return readWorkbook(data, file)
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text)
	in := csv.NewReader(strings.NewReader(text))
	in.Comma, in.FieldsPerRecord, in.TrimLeadingSpace, in.LazyQuotes, in.Comment = separator(text), -1, true, true, '#'
	if in.Comma == '\t' {
		in.TrimLeadingSpace = false
	}
	head, err := in.Read()
	if err != nil {
		return nil, problem.List{{File: file, What: "there is no table", Do: "begin with a row of headers: " + strings.Join(Names(), ", ")}}
	}
	headLine, _ := in.FieldPos(0)
	var bad problem.List
	rows := []row{{headLine, head}}
	for len(rows) <= mostRows+1 {
		cells, err := in.Read()
		if cells == nil && err != nil {
			if pe, ok := err.(*csv.ParseError); ok {
				bad = append(bad, problem.Problem{File: file, Line: pe.Line, Column: pe.Column, What: "this row can't be read", Do: "look for a quotation mark that is not closed"})
			}
			break
		}
		line, _ := in.FieldPos(0)
		rows = append(rows, row{line, cells})
	}
	runs, out := tableOf(rows, file)
	return runs, append(out, bad...)
}

// row is a row of the table with its number in the file.
type row struct {
	line  int
	cells []string
}

// readWorkbook reads the sheet of a workbook that has the columns of such a table.
func readWorkbook(data []byte, file string) ([]Run, problem.List) {
	s, err := workbook.Read(data, func(head []string) bool {
		_, _, bad := header(row{1, head}, file)
		return bad.Err() == nil
	})
	var bad *workbook.Error
	if errors.As(err, &bad) {
		return nil, problem.List{{File: file, Sheet: bad.Sheet, Line: bad.Row, Column: bad.Column, What: bad.What, Do: bad.Do}}
	}
	var rows []row
	for i, cells := range s.Rows {
		if len(cells) > 0 && !strings.HasPrefix(cells[0], "#") {
			rows = append(rows, row{i + 1, cells})
		}
	}
	runs, out := tableOf(rows, file)
	for i := range runs {
		runs[i].Sheet = s.Name
	}
	return runs, out.InSheet(file, s.Name)
}

// tableOf makes runs of rows, the first of them the headers.
func tableOf(rows []row, file string) ([]Run, problem.List) {
	at, units, out := header(rows[0], file)
	if out.Err() != nil {
		return nil, out
	}
	var runs []Run
	for _, x := range rows[1:] {
		r := Run{Line: x.line}
		empty := true
		for i, cell := range x.cells {
			cell = strings.TrimSpace(cell)
			if strings.HasPrefix(cell, "'=") || strings.HasPrefix(cell, "'@") { // as Write has them
				cell = cell[1:]
			}
			if i >= len(at) || at[i] < 0 || cell == "" {
				continue
			}
			empty = false
			*columns[at[i]].field(&r) = inUnit(cell, columns[at[i]].Name, units[i])
		}
		if empty {
			continue
		}
		if len(runs) == mostRows {
			out = append(out, problem.Problem{File: file, Line: x.line, What: fmt.Sprintf("the table has more than %d runs", mostRows), Do: "split it into its systems"})
			break
		}
		if r.Machine == "" { // a port alone is its machine
			r.Machine, r.Port = r.Port, ""
		}
		runs = append(runs, r)
	}
	if len(runs) == 0 && out.Err() == nil {
		out = append(out, problem.Problem{File: file, What: "the table has headers and no runs", Do: "write a row for each run"})
	}
	return withNames(runs), out
}

// inUnit is a cell with the unit of its header, for its numbers that have none.
func inUnit(cell, column, unit string) string {
	if unit == "" {
		return cell
	}
	if w, h, ok := SidesOf(cell); ok && (column == "size" || column == "opening") {
		if bare(w) && bare(h) {
			return cell + " " + unit
		}
		return cell
	}
	if taps, ok := tapsOf(cell); ok && column == "taps" {
		for i := range taps {
			if bare(taps[i].at) {
				taps[i].at += " " + unit
			}
		}
		return tapCell(taps)
	}
	if bare(cell) {
		return cell + " " + unit
	}
	return cell
}

// separator is what stands between the cells of the header.
func separator(text string) rune {
	first, _, _ := strings.Cut(strings.TrimLeft(text, "\n"), "\n")
	for _, c := range "\t;" {
		if strings.ContainsRune(first, c) {
			return c
		}
	}
	return ','
}

// headed is the column that a header names, -1 for none, and the unit that it gives.
func headed(h string) (k int, unit string) {
	name := strings.ToLower(strings.TrimSpace(strings.ReplaceAll(h, "_", " ")))
	if i := strings.IndexAny(name, "(["); i >= 0 {
		name, unit = strings.TrimSpace(name[:i]), strings.TrimSpace(strings.TrimRight(name[i+1:], ")] "))
	}
	if k = named(name); k >= 0 {
		if _, ok := measures[columns[k].Name]; !ok {
			unit = ""
		}
		return k, unit
	}
	words := strings.Fields(strings.ReplaceAll(name, ",", " "))
	if len(words) < 2 || unit != "" {
		return -1, ""
	}
	last := len(words) - 1
	rest := words[:last]
	if last > 1 && words[last-1] == "in" { // length in feet
		rest = words[:last-1]
	}
	if k, unit = measured(rest, words[last]); k < 0 {
		k, unit = measured(words[1:], words[0]) // cfm needed
	}
	return k, unit
}

// measured is the column by a name, and the unit by one, if they go together.
func measured(name []string, unit string) (int, string) {
	k := named(strings.Join(name, " "))
	if k < 0 {
		return -1, ""
	}
	d, ok := measures[columns[k].Name]
	if !ok {
		return -1, ""
	}
	v, err := units.ParseIn("1", d, unit)
	if err != nil || unit == "" {
		return -1, ""
	}
	return k, v.Unit
}

func named(name string) int {
	return slices.IndexFunc(columns[:], func(c Column) bool {
		return strings.ReplaceAll(c.Name, "_", " ") == name || slices.Contains(c.Also, name)
	})
}

// header finds the column of each cell, -1 for one that is not read, and the unit
// beside its name.
func header(head row, file string) (at []int, units []string, out problem.List) {
	have := map[string]bool{}
	for i, h := range head.cells {
		name := strings.TrimSpace(h)
		k, unit := headed(h)
		switch {
		case k >= 0 && have[columns[k].Name]:
			out = append(out, problem.Problem{File: file, Line: head.line, What: fmt.Sprintf("the column %s stands there twice", columns[k].Name), Do: "keep one of them"})
		case k < 0 && name != "":
			out = append(out, problem.Problem{File: file, Line: head.line, What: fmt.Sprintf("column %d, %q, is not known and is not read", i+1, h), Do: "columns are " + strings.Join(Names(), ", "), Warning: true})
		case k >= 0:
			have[columns[k].Name] = true
		}
		at, units = append(at, k), append(units, unit)
	}
	for _, n := range []string{"into", "size", "length"} {
		if !have[n] {
			out = append(out, problem.Problem{File: file, Line: head.line, What: fmt.Sprintf("the column %s is missing", n), Do: "columns are " + strings.Join(Names(), ", ")})
		}
	}
	return at, units, out
}

// withNames gives a run without a name one: its machine's, or its number.
func withNames(list []Run) []Run {
	taken := map[string]bool{}
	for _, r := range list {
		taken[r.ID] = true
	}
	for i := range list {
		r := &list[i]
		if r.ID != "" {
			continue
		}
		like := fmt.Sprintf("run %d", i+1)
		if r.Machine != "" {
			like = r.Machine + "-run"
		}
		for r.ID = like; taken[r.ID]; {
			r.ID += "-2"
		}
		taken[r.ID] = true
	}
	return list
}

// Write writes a table that Read reads.
func Write(list []Run) []byte {
	var b bytes.Buffer
	out := csv.NewWriter(&b)
	out.Write(Names())
	for i := range list {
		var cells []string
		for _, c := range columns {
			cell := *c.field(&list[i])
			if cell != "" && strings.ContainsAny(cell[:1], "=@") {
				cell = "'" + cell // else a spreadsheet would run it
			}
			cells = append(cells, cell)
		}
		out.Write(cells)
	}
	out.Flush()
	return b.Bytes()
}
