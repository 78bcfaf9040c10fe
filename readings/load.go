package readings

import (
	"fmt"
	"io"
	"os"

	"lostair/readings/dates"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// LoadFile is Load for the file at path.
func LoadFile(path string, sys units.System) (*Survey, problem.List) {
	return whole(ReadFile(path, sys))
}

// Load reads the readings of one survey; sys is what a value without a unit
// means, and file is what problems call the file. The list holds all
// problems in file order; the survey is nil if one of them is more than a
// warning.
func Load(r io.Reader, file string, sys units.System) (*Survey, problem.List) {
	return whole(Read(r, file, sys))
}

// whole is a survey that has no error.
func whole(s *Survey, list problem.List) (*Survey, problem.List) {
	if list.Err() != nil {
		return nil, list
	}
	return s, list
}

// ReadFile is Read for the file at path.
func ReadFile(path string, sys units.System) (*Survey, problem.List) {
	return ReadFileIn(path, sys, dates.Any)
}

// ReadFileIn is ReadFile with the order said in which dates like 3/7/2026 are
// written.
func ReadFileIn(path string, sys units.System, order dates.Order) (*Survey, problem.List) {
	f, err := os.Open(path)
	if err != nil {
		return &Survey{File: path}, problem.List{{File: path, What: "the file cannot be read: " + problem.Cause(err), Do: "check the name and that you may read it"}}
	}
	defer f.Close()
	return ReadIn(f, path, sys, order)
}

// Read is Load that gives of a file with errors what could be read, for further
// checks: rows with an error stand in Broken. With errors it is no survey to
// calculate with.
func Read(r io.Reader, file string, sys units.System) (*Survey, problem.List) {
	return ReadIn(r, file, sys, dates.Any)
}

// ReadIn is Read with the order said in which dates like 3/7/2026 are written.
func ReadIn(r io.Reader, file string, sys units.System, order dates.Order) (*Survey, problem.List) {
	l := loader{problems: problems{file: file}, sys: sys, dates: order}
	s := &Survey{File: file}
	if t, ok := l.table(r); ok {
		s.Rows = l.rows(t)
	}
	s.Sheet, s.Complaint = l.sheet, l.complaint
	s.Readings, s.Broken, s.Looks, s.Air = l.reduce(s.Rows), l.broken, l.looks, l.air
	return s, l.sorted()
}

// rows reads every row that has a value.
func (l *loader) rows(t *table) []Row {
	records := t.records
	if len(records) == 0 {
		if l.list.Err() == nil {
			l.fail(0, 0, "the file holds nothing but comments", "write a header row with "+problem.AndList(needed())+", and a row for each reading")
		}
		return nil
	}
	names, ok := l.head(t)
	if !ok {
		return nil
	}
	written, places := l.written(names, records[1:])
	if l.swapped(records[0], names, written) {
		return nil
	}
	return l.decode(written, places)
}

// head reads the header row, and looks at the rows for what makes reading them useless.
func (l *loader) head(t *table) (names []string, ok bool) {
	first := t.records[0]
	if t.text != nil {
		if how := separatedOtherwise(t.text.lines[first.line-1]); how != "" && !hasAll(namesOf(first)) {
			l.fail(first.line, 0, "the fields of the header row are separated by "+how, "save the file with commas, semicolons or tabs between the fields")
			return nil, false
		}
	}
	names = l.header(first)
	if l.list.Err() != nil && !hasAll(names) {
		return nil, false
	}
	if t.text == nil {
		t.dates(names)
		return names, true
	}
	l.lookAlikes(t.text, names)
	return names, !l.unlikeHeader(t.text, t.records[1:])
}

// decode turns the rows as written into Rows. Those without a value, as in a
// field sheet not yet filled in, are counted and left out.
func (l *loader) decode(rows []written, places []place) []Row {
	out := make([]Row, 0, len(rows))
	if l.dates == dates.Any {
		l.dates = orderIn(rows)
	}
	blank, firstBlank := 0, place{}
	for i := range rows {
		if rows[i].Value == "" {
			if blank++; blank == 1 {
				firstBlank = places[i]
			}
			continue
		}
		if _, ok := LookNamed(rows[i].Quantity); ok {
			if row, ok := l.look(&rows[i], places[i]); ok {
				l.looks = append(l.looks, row)
			}
			continue
		}
		if row, ok := l.row(&rows[i], places[i]); ok && row.Quantity.OfAir() {
			l.air = append(l.air, row)
		} else if ok {
			out = append(out, row)
		} else {
			l.broken = append(l.broken, row)
		}
	}
	l.blank(blank, len(rows), firstBlank)
	l.undated()
	return out
}

func (l *loader) blank(n, all int, first place) {
	switch {
	case all == 0:
		if l.list.Err() == nil {
			l.fail(0, 0, "the file has a header row and no readings", "write a row for each reading")
		}
	case n == all:
		l.fail(first.line, first.columns.Value, "no row has a value", "fill in the column value")
	case n == 1:
		l.warn(first.line, first.columns.Value, "this row has no value and is left out", "fill it in or delete the row")
	case n > 1:
		l.warn(first.line, first.columns.Value, fmt.Sprintf("%d rows, from this one on, have no value and are left out", n), "fill them in or delete the rows")
	}
}
