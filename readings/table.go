package readings

import (
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"lostair/readings/workbook"
)

// table is a file as rows of fields. Of a workbook there is no text.
type table struct {
	records []record
	text    *text
	from    time.Time // of a workbook: the day from which its dates count
}

// table reads a CSV file or a workbook; false: it is none, which is reported.
func (l *loader) table(r io.Reader) (*table, bool) {
	raw, ok := readAll(r, &l.problems)
	if !ok {
		return nil, false
	}
	if workbook.Is(raw) {
		return l.sheetOf(raw)
	}
	t, ok := textOf(raw, &l.problems)
	if !ok {
		return nil, false
	}
	l.sep, l.complaint = t.separator(), ComplaintIn(t.all)
	return &table{records: t.records(l.sep, &l.problems), text: t}, true
}

// sheetOf reads the sheet of a workbook that has the columns of a readings file.
func (l *loader) sheetOf(raw []byte) (*table, bool) {
	s, err := workbook.Read(raw, func(row []string) bool { return hasAll(namesOf(record{fields: row})) })
	var bad *workbook.Error
	if errors.As(err, &bad) {
		l.sheet = bad.Sheet
		l.fail(bad.Row, bad.Column, bad.What, bad.Do)
		return nil, false
	}
	l.sheet = s.Name
	t := &table{from: s.From}
	for i, cells := range s.Rows {
		if rec, ok := l.recordOf(i+1, cells); ok {
			t.records = append(t.records, rec)
		}
	}
	return t, l.list.Err() == nil
}

// recordOf is a row of a sheet; false if it is empty, a comment or no text.
func (l *loader) recordOf(row int, cells []string) (record, bool) {
	if len(cells) == 0 || strings.HasPrefix(cells[0], "#") {
		return record{}, false
	}
	rec := record{line: row, fields: slices.Clone(cells)}
	for i, c := range cells {
		rec.columns = append(rec.columns, i+1)
		if strings.ContainsFunc(c, func(r rune) bool { return r < ' ' && r != '\t' && r != '\n' && r != '\r' }) {
			l.fail(row, i+1, "a control character stands in this cell", "type the cell again")
			return record{}, false
		}
	}
	return rec, true
}

// Days from which on, and up to which, a number under date is a day of a workbook.
var firstDay, lastDay = time.Date(1990, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC)

// dates turns the days of a workbook, which it stores as numbers, into dates as they
// are written.
func (t *table) dates(names []string) {
	at := slices.Index(names, "date")
	if at < 0 {
		return
	}
	for _, r := range t.records[1:] {
		if at >= len(r.fields) {
			continue
		}
		n, err := strconv.ParseFloat(r.fields[at], 64)
		if err != nil || n < 1 || n > 1e6 {
			continue
		}
		if d := t.from.AddDate(0, 0, int(n)); d.After(firstDay) && d.Before(lastDay) {
			r.fields[at] = d.Format(time.DateOnly)
		}
	}
}
