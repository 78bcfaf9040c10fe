package readings

import (
	"fmt"

	"lostair/readings/csvtext"
)

// look checks a row that is a look; false if it cannot be used.
func (l *loader) look(w *written, at place) (Row, bool) {
	before := len(l.list)
	row := Row{Line: at.line, Point: csvtext.Unguard(w.Point), Note: csvtext.Unguard(w.Note), Columns: at.columns}
	row.Look, _ = LookNamed(w.Quantity)
	c := at.columns
	var bad *fault
	if w.Open != "" { // the gates may not matter
		row.Open, bad = parseOpen(csvtext.Unguard(w.Open))
		l.report(at.line, c.Open, bad)
	}
	if w.Point == "" {
		l.fail(at.line, c.Point, "it is not said where this was looked at", "write the id of "+row.Look.At().words())
	}
	row.Date, bad = parseDate(w.Date, l.dates)
	l.dateless(at, w.Date, bad)
	if row.Look.Number() {
		if l.value(&row, w, at) && row.Value <= 0 {
			l.fail(at.line, c.Value, fmt.Sprintf("%s is no %s", quote(w.Value), row.Look), "write how wide it is inside, in "+row.Unit)
		}
	} else {
		l.answer(&row, w, at)
	}
	if w.Position != "" {
		l.fail(at.line, c.Position, fmt.Sprintf("%s has no position", row.Look), "leave position empty")
	}
	return row, l.list[before:].Err() == nil
}

// answer reads yes or no.
func (l *loader) answer(row *Row, w *written, at place) {
	row.Typed = w.Value
	var ok bool
	if row.Value, ok = saysYesOrNo(w.Value); !ok {
		l.fail(at.line, at.columns.Value, fmt.Sprintf("%s is no answer to %s", quote(w.Value), row.Look), "write yes or no; if you can't say, leave the row out")
	}
	if w.Unit != "" {
		l.fail(at.line, at.columns.Unit, fmt.Sprintf("%s has no unit", row.Look), "leave unit empty")
	}
}
