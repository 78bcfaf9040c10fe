// Package readings holds a survey: the rows of one readings file as written,
// and the readings they reduce to. It knows units and nothing of ducts; ids
// are checked against a system by package diagnose.
//
// A file goes through these steps, each in a file of its own:
//
//  1. text.go: bytes become lines of UTF-8; byte order marks, UTF-16 and every
//     kind of line end are dealt with, and what is no text is refused.
//  2. dialect.go: the header row tells comma, semicolon or tab.
//  3. records.go: CSV becomes records, each field with its line and column.
//  4. columns.go, written.go: the header's names find the fields.
//  5. row.go, open.go: fields become a Row in SI units, or problems.
//  6. reduce.go: rows that are equal in all but value, note and position are
//     repeats, or one traverse; either becomes one Reading.
//
// Everything wrong is gathered and reported together, in file order. What may
// be a slip and may be true (a negative suction) is a warning and kept as
// written, because the diagnosis weighs slips against faults. What would
// leave doubt about the value ("1,500", a unit of something else) is an error.
//
// Dates (package dates, undated.go) are read in whatever form has one meaning only; that
// of 3/7/2026 follows from the other rows, or is asked once of a file. The log of repairs
// is a file of its own (package repairs).
//
// A workbook (table.go, package workbook) goes the same way from step 4 on: there a
// line is a row of its sheet, and Survey.Sheet names that.
//
// Beyond the columns of the format, empty lines and lines that begin with #
// are passed over, and rows without a value (a field sheet not yet filled in)
// are left out with a warning. Write makes such sheets; TraversePositions
// says where to hold the tube.
package readings

import "lostair/readings/units"

// Survey is one readings file.
type Survey struct {
	File      string // as the user named it; "-" for standard input
	Sheet     string // of a workbook: the sheet, whose rows are Row.Line; "" of a CSV file
	Rows      []Row
	Readings  []Reading // in order of their first row
	Air       []Row     // temperature, barometer and humidity of the day, in file order
	Looks     []Row     // what was looked at, in file order
	Complaint string    // why the round was made, as a comment says; "" if none does
	Broken    []Row     // of Read: rows with an error; what of them can't be read is left empty
}

// Open says which gates are open.
type Open struct {
	All   bool
	Gates []string // sorted, without duplicates; empty and not All: none
}

// Row is one line of the file, good enough to be used.
type Row struct {
	Line       int // header = line 1
	Open       Open
	Point      string
	Quantity   units.Quantity // NoQuantity of a look
	Look       Look           // "" of a reading
	Value      float64        // SI, sign as written; of a look 1: yes, 0: no
	Typed      string         // the value as written, for echoing
	Unit       string         // symbol of the unit that held, from the row or the system file
	Instrument string         // "" if not given
	HoseOff    []string
	Position   int     // of a traverse; 0: none
	Factor     float64 // of a hood or cone; Value and Typed have it in them; 0: none
	Date       string  // ISO, "" if not given
	Note       string
	Columns    Columns
}

// Yes is whether the answer of a look is yes.
func (r *Row) Yes() bool { return r.Look != "" && !r.Look.Number() && r.Value != 0 }

// Dimension is that of the row's value.
func (r *Row) Dimension() units.Dimension {
	switch {
	case r.Look.Number():
		return units.Diameter
	case r.Look != "":
		return units.Number
	}
	return r.Quantity.Dimension()
}

// What is the row's quantity or look, as the file names it.
func (r *Row) What() string {
	if r.Look != "" {
		return string(r.Look)
	}
	return r.Quantity.String()
}

// Columns are the 1-based columns (in characters) at which the fields of a row start; 0: no such field.
type Columns struct {
	Open, Point, Quantity, Value, Unit, Instrument, HoseOff, Position, Date, Factor int
}

// Reading is what the program computes with: one row, several repeats
// averaged, or one traverse.
type Reading struct {
	Open       Open
	Point      string
	Quantity   units.Quantity
	Value      float64 // SI, mean of the repeats; a traverse of velocity pressures: (mean of roots)²
	Count      int     // repeats, 1 or more (a traverse counts as 1 however many positions)
	SD         float64 // standard deviation of the repeats, SI; 0 if Count is 1
	Positions  int     // of a traverse; 0: not one
	Instrument string
	HoseOff    []string
	Date       string
	Rows       []int // indices into Survey.Rows, in file order
}
