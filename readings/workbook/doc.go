// Package workbook reads the cells of a spreadsheet's file (.xlsx) as text, and writes
// such a file.
//
// It is given the file's bytes and gives one sheet: the rows as the sheet numbers
// them, each cell as it is stored and not as it is shown, so that no format of a cell
// changes a number. What it unpacks is bounded, since a small file can hold a very
// large one. Formulas count as what they last gave. It knows nothing of readings.
//
// In a browser it reads and writes none: the library behind it would make the page some ten
// megabytes larger.
package workbook

import (
	"bytes"
	"path/filepath"
	"strings"
	"time"
)

// Sheet is one sheet of a workbook.
type Sheet struct {
	Name string
	Rows [][]string // Rows[i] is row i+1; an empty row is empty, and no row ends in an empty cell
	From time.Time  // the day from which its dates count
}

// Table is what Write writes: its first row holds the names of the columns.
type Table struct {
	Name    string // of the sheet
	Rows    [][]string
	Columns []Column // what each holds; Text where there is none
}

// Column is what a column holds.
type Column uint8

// What a column may hold.
const (
	Text Column = iota
	Numbers
	Dates
)

func (t *Table) column(k int) Column {
	if k < len(t.Columns) {
		return t.Columns[k]
	}
	return Text
}

// Error is what is wrong with a workbook, or with one cell of it.
type Error struct {
	Sheet       string // "": the file as a whole
	Row, Column int    // 1-based; 0: none in particular
	What, Do    string
}

func (e *Error) Error() string { return e.What + "; " + e.Do }

// Is is whether these are the bytes of a workbook, of the kind that Read reads or of
// an older one.
func Is(data []byte) bool { return packed(data) || old(data) }

// Named is whether a file is a workbook by its name.
func Named(path string) bool {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".xlsx", ".xlsm", ".xltx", ".xltm", ".xls", ".ods":
		return true
	}
	return false
}

// Written is whether a file of that name is of the kind that Write writes.
func Written(path string) bool { return strings.EqualFold(filepath.Ext(path), ".xlsx") }

func packed(data []byte) bool { return bytes.HasPrefix(data, []byte("PK\x03\x04")) }

func old(data []byte) bool { return bytes.HasPrefix(data, []byte("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1")) }
