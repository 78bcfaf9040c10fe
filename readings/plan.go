package readings

import (
	"io"
	"math"
	"os"

	"lostair/readings/problem"
	"lostair/readings/units"
)

// LoadPlanFile is LoadPlan for the file at path.
func LoadPlanFile(path string, sys units.System) (*Survey, problem.List) {
	f, err := os.Open(path)
	if err != nil {
		return nil, problem.List{{File: path, What: "the file cannot be read: " + problem.Cause(err), Do: "check the name and that you may read it"}}
	}
	defer f.Close()
	return LoadPlan(f, path, sys)
}

// LoadPlan reads a readings file for what is to be read, whether its rows have
// values yet or not: the Value of each row is NaN and Typed is empty, and there are no
// Readings. The survey is nil if a problem is more than a warning.
func LoadPlan(r io.Reader, file string, sys units.System) (*Survey, problem.List) {
	l := loader{problems: problems{file: file}, sys: sys}
	s := &Survey{File: file}
	if t, ok := l.table(r); ok {
		s.Rows = l.plan(t)
	}
	s.Sheet = l.sheet
	if len(s.Rows) == 0 && l.list.Err() == nil {
		l.fail(0, 0, "the file has no row of a reading to take", "write a row for each reading; its value may be empty")
	}
	list := l.sorted()
	if list.Err() != nil {
		return nil, list
	}
	return s, list
}

func (l *loader) plan(t *table) []Row {
	if len(t.records) == 0 {
		return nil
	}
	names := l.header(t.records[0])
	if l.list.Err() != nil && !hasAll(names) {
		return nil
	}
	if t.text == nil {
		t.dates(names)
	}
	var out []Row
	written, places := l.written(names, t.records[1:])
	for i := range written {
		if k, ok := LookNamed(written[i].Quantity); ok {
			if written[i].Value = "no"; k.Number() {
				written[i].Value = "1"
			}
			if row, ok := l.look(&written[i], places[i]); ok {
				row.Value, row.Typed = math.NaN(), ""
				out = append(out, row)
			}
			continue
		}
		written[i].Value = "0" // any value of the right form, so that the row is checked
		if row, ok := l.row(&written[i], places[i]); ok {
			row.Value, row.Typed = math.NaN(), ""
			out = append(out, row)
		}
	}
	return out
}
