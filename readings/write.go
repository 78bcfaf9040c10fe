package readings

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"lostair/readings/csvtext"
	"lostair/readings/units"
	"lostair/readings/workbook"
)

// Write writes rows as a readings file that Load reads back: comma, LF, every
// column but factor, which is in the value already. Ids and points are to be such as Load gives: without spaces around
// them, gates and ports without a "+". A value is written as Typed, or from Value in Unit if Typed is
// empty; where both are missing (Value NaN), as on a field sheet, the field
// stays empty. sys gives the unit of a row without one. An id or a note that a
// spreadsheet would run as a formula gets an apostrophe in front, which Load
// takes off again.
func Write(w io.Writer, rows []Row, sys units.System) error {
	out := csv.NewWriter(w)
	if err := out.Write(writtenNames); err != nil {
		return err
	}
	for i := range rows {
		fields, err := rows[i].fields(sys)
		if err != nil {
			return err
		}
		if err := out.Write(fields); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// WriteWorkbook writes rows as a workbook that Load reads back as it does what Write
// writes, for people who fill it in with a spreadsheet.
func WriteWorkbook(w io.Writer, rows []Row, sys units.System) error {
	t := workbook.Table{Name: "readings", Rows: [][]string{writtenNames}}
	for _, name := range writtenNames {
		holds := workbook.Text
		switch name {
		case "value", "position":
			holds = workbook.Numbers
		case "date":
			holds = workbook.Dates
		}
		t.Columns = append(t.Columns, holds)
	}
	for i := range rows {
		fields, err := rows[i].fields(sys)
		if err != nil {
			return err
		}
		t.Rows = append(t.Rows, fields)
	}
	return workbook.Write(w, t)
}

// fields are in the order of writtenNames.
func (r *Row) fields(sys units.System) ([]string, error) {
	unit := r.Unit
	if unit == "" {
		unit = r.Dimension().Symbol(sys)
	}
	value, position := r.Typed, ""
	if r.Look != "" && !r.Look.Number() && value == "" && !math.IsNaN(r.Value) {
		if value = "no"; r.Yes() {
			value = "yes"
		}
	}
	if value == "" && !math.IsNaN(r.Value) {
		v, err := units.Convert(r.Value, r.Dimension(), unit)
		if err != nil {
			return nil, fmt.Errorf("readings: row at %q: %w", r.Point, err)
		}
		value = tidy(v)
	}
	if r.Position > 0 {
		position = strconv.Itoa(r.Position)
	}
	return []string{r.Date, csvtext.Guard(r.Open.String()), csvtext.Guard(r.Point), r.What(), value, unit,
		csvtext.Guard(r.Instrument), csvtext.Guard(strings.Join(r.HoseOff, "+")), position, csvtext.Guard(r.Note)}, nil
}

// tidy writes v in 15 digits, the most that survive a conversion of units.
func tidy(v float64) string {
	if r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 15, 64), 64); err == nil {
		v = r
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
