// Package runs reads and writes the ducts of a shop as a table, one row a run of
// pipe or hose, as people keep it in a spreadsheet.
package runs

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

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
}

// UsualHood is what a machine's own hood is taken to lose where a table doesn't say.
// Common practice, no source.
const UsualHood = "1.0"

// column is one column of the table, with the names that it goes by.
type column struct {
	name  string
	also  []string
	field func(r *Run) *string
}

var columns = [...]column{
	{"id", []string{"name", "run", "duct"}, func(r *Run) *string { return &r.ID }},
	{"into", []string{"flows into", "joins", "to"}, func(r *Run) *string { return &r.Into }},
	{"enters", []string{"angle", "joins at", "at", "branch angle", "join angle", "wye angle", "enters at"}, func(r *Run) *string { return &r.Enters }},
	{"size", []string{"diameter", "bore", "dia", "inside diameter"}, func(r *Run) *string { return &r.Size }},
	{"length", []string{"len", "long"}, func(r *Run) *string { return &r.Length }},
	{"material", []string{"pipe", "made of", "type"}, func(r *Run) *string { return &r.Material }},
	{"bends", []string{"elbows", "bend", "elbow"}, func(r *Run) *string { return &r.Bends }},
	{"gate", []string{"blast gate"}, func(r *Run) *string { return &r.Gate }},
	{"gate_at", []string{"gate at", "gate end", "gate location", "gate position", "gate place"}, func(r *Run) *string { return &r.GateAt }},
	{"machine", []string{"port", "tool"}, func(r *Run) *string { return &r.Machine }},
	{"need", []string{"needs", "needed", "required", "flow", "air", "airflow", "air flow", "air needed", "flow needed", "air required", "flow required"}, func(r *Run) *string { return &r.Need }},
	{"hood", []string{"hood loss"}, func(r *Run) *string { return &r.Hood }},
}

// measures are the columns of which a header may give the unit.
var measures = map[string]units.Dimension{"size": units.Diameter, "length": units.Length, "need": units.Flow}

// Names lists the columns.
func Names() []string {
	var out []string
	for _, c := range columns {
		out = append(out, c.name)
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
			if i >= len(at) || at[i] < 0 || cell == "" {
				continue
			}
			empty = false
			if units[i] != "" && bare(cell) {
				cell += " " + units[i]
			}
			*columns[at[i]].field(&r) = cell
		}
		if empty {
			continue
		}
		if len(runs) == mostRows {
			out = append(out, problem.Problem{File: file, Line: x.line, What: fmt.Sprintf("the table has more than %d runs", mostRows), Do: "split it into its systems"})
			break
		}
		runs = append(runs, r)
	}
	if len(runs) == 0 && out.Err() == nil {
		out = append(out, problem.Problem{File: file, What: "the table has headers and no runs", Do: "write a row for each run"})
	}
	return withNames(runs), out
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
		if _, ok := measures[columns[k].name]; !ok {
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
	d, ok := measures[columns[k].name]
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
	return slices.IndexFunc(columns[:], func(c column) bool {
		return strings.ReplaceAll(c.name, "_", " ") == name || slices.Contains(c.also, name)
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
		case k >= 0 && have[columns[k].name]:
			out = append(out, problem.Problem{File: file, Line: head.line, What: fmt.Sprintf("the column %s stands there twice", columns[k].name), Do: "keep one of them"})
		case k < 0 && name != "":
			out = append(out, problem.Problem{File: file, Line: head.line, What: fmt.Sprintf("column %d, %q, is not known and is not read", i+1, h), Do: "columns are " + strings.Join(Names(), ", "), Warning: true})
		case k >= 0:
			have[columns[k].name] = true
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

// onTape is a length with a fraction and no unit, 9 1/2 or 5/8.
var onTape = regexp.MustCompile(`^(\d+[ -])?\d+/\d+$`)

func bare(cell string) bool {
	if onTape.MatchString(cell) {
		return true
	}
	_, err := strconv.ParseFloat(strings.Replace(cell, ",", ".", 1), 64)
	return err == nil
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

// Bend is an angle in degrees, and how many bends have it.
type Bend struct {
	Angle string
	Count int
}

// BendsOf reads a cell of bends: a number of right-angled ones ("2"), or angles with
// their numbers ("2x90 + 45"). False: neither.
func BendsOf(cell string) ([]Bend, bool) {
	cell = strings.ToLower(strings.TrimSpace(cell))
	switch cell {
	case "", "0", "no", "none", "-":
		return nil, true
	}
	if n, err := strconv.Atoi(cell); err == nil && n > 0 && n <= 12 {
		return []Bend{{"90", n}}, true
	}
	var out []Bend
	for _, p := range strings.FieldsFunc(cell, func(r rune) bool { return r == '+' || r == ',' || r == ';' || r == '&' }) {
		p = strings.TrimSpace(strings.NewReplacer("°", "", "deg", "", "×", "x", "*", "x").Replace(p))
		count, angle, ok := strings.Cut(p, "x")
		n := 1
		if ok {
			var err error
			if n, err = strconv.Atoi(strings.TrimSpace(count)); err != nil || n < 1 || n > 100 {
				return nil, false
			}
		} else {
			angle = p
		}
		angle = strings.TrimFunc(angle, unicode.IsSpace)
		if a, err := strconv.ParseFloat(angle, 64); err != nil || a < 1 || a > 180 {
			return nil, false
		}
		out = append(out, Bend{angle, n})
	}
	return out, len(out) > 0
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
