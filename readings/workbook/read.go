//go:build !js

package workbook

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

// Limits of a workbook: far beyond any survey, and of what a small file can unpack to.
const (
	mostUnpacked = 12 << 20 // bytes
	mostParts    = 1000     // files packed in it
	mostRows     = 50_000
	mostColumns  = 100
	mostCells    = 4 << 20 // of a sheet, empty ones before the last of a row included
	mostCell     = 4 << 10 // bytes
)

const asCSV = "save the sheet as .xlsx without a password, or as CSV"

// Read gives the first sheet of a workbook whose first row with anything in it fits, or
// else the first with anything in it; hidden sheets are passed over. Rows that begin
// with # before it are passed over too. An error is an *Error.
func Read(data []byte, fits func(row []string) bool) (sheet *Sheet, err error) {
	if old(data) {
		return nil, &Error{What: "this is a workbook of an older kind, or one with a password", Do: asCSV}
	}
	if err := bounded(data); err != nil {
		return nil, err
	}
	defer func() { // the library is not ours, and the file may be made to upset it
		if recover() != nil {
			sheet, err = nil, &Error{What: "the workbook is damaged", Do: asCSV}
		}
	}()
	f, opened := excelize.OpenReader(bytes.NewReader(data), excelize.Options{RawCellValue: true, UnzipSizeLimit: mostUnpacked, UnzipXMLSizeLimit: mostUnpacked})
	if opened != nil {
		return nil, &Error{What: "this is no workbook that can be read", Do: asCSV}
	}
	defer f.Close()
	return choose(f, fits)
}

// bounded unpacks all that the file holds and keeps none of it: what a file says of its
// own sizes need not be true.
func bounded(data []byte) error {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return &Error{What: "the workbook is damaged", Do: asCSV}
	}
	if len(z.File) > mostParts {
		return &Error{What: fmt.Sprintf("the workbook holds more than %d parts", mostParts), Do: "give the workbook of one survey"}
	}
	left, book := int64(mostUnpacked), false
	for _, part := range z.File {
		book = book || strings.EqualFold(part.Name, "xl/workbook.xml")
		r, err := part.Open()
		if err != nil {
			return &Error{What: "the workbook is damaged", Do: asCSV}
		}
		n, err := io.Copy(io.Discard, io.LimitReader(r, left+1))
		r.Close()
		switch left -= n; {
		case left < 0:
			return &Error{What: fmt.Sprintf("the workbook unpacks to more than %d MiB", mostUnpacked>>20), Do: "give the workbook of one survey, without pictures"}
		case err != nil:
			return &Error{What: "the workbook is damaged", Do: asCSV}
		}
	}
	if !book {
		return &Error{What: "this is a packed file and no workbook of the kind .xlsx", Do: asCSV}
	}
	return nil
}

func choose(f *excelize.File, fits func(row []string) bool) (*Sheet, error) {
	var first *Sheet
	for _, name := range f.GetSheetList() {
		if shown, err := f.GetSheetVisible(name); err == nil && !shown {
			continue
		}
		s, err := read(f, name)
		if err != nil {
			return nil, err
		}
		head := headOf(s)
		if head == nil {
			continue
		}
		if fits(head) {
			return s, nil
		}
		if first == nil {
			first = s
		}
	}
	if first == nil {
		return nil, &Error{What: "the workbook has no sheet with anything in it", Do: "write the table into its first sheet"}
	}
	return first, nil
}

// headOf is the first row with anything in it that is no comment; nil: there is none.
func headOf(s *Sheet) []string {
	for _, row := range s.Rows {
		for _, cell := range row {
			if strings.HasPrefix(cell, "#") {
				break
			}
			if cell != "" {
				return row
			}
		}
	}
	return nil
}

// read reads the cells of a sheet.
func read(f *excelize.File, name string) (*Sheet, error) {
	damaged := &Error{Sheet: name, What: "the sheet can't be read", Do: asCSV}
	rows, err := f.Rows(name)
	if err != nil {
		return nil, damaged
	}
	defer rows.Close()
	s := &Sheet{Name: name, From: time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)}
	if p, err := f.GetWorkbookProps(); err == nil && p.Date1904 != nil && *p.Date1904 {
		s.From = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	left := mostCells
	for rows.Next() {
		cells, err := rows.Columns()
		if err != nil {
			return nil, damaged
		}
		n := len(s.Rows) + 1
		if left -= len(cells); left < 0 {
			return nil, &Error{Sheet: name, Row: n, What: "the sheet reaches too far to the right", Do: "clear what is no part of the table, or copy the table into a new sheet"}
		}
		if cells, err = tidy(name, n, cells); err != nil {
			return nil, err
		}
		if s.Rows = append(s.Rows, cells); n > mostRows && len(cells) > 0 {
			return nil, &Error{Sheet: name, Row: n, What: fmt.Sprintf("the sheet has more than %d rows", mostRows), Do: "give the sheet of one survey"}
		}
	}
	if rows.Error() != nil {
		return nil, damaged
	}
	for len(s.Rows) > 0 && len(s.Rows[len(s.Rows)-1]) == 0 {
		s.Rows = s.Rows[:len(s.Rows)-1]
	}
	return s, nil
}

// tidy gives the cells of a row without the blanks around them and the empty ones at
// its end.
func tidy(sheet string, row int, cells []string) ([]string, error) {
	for i, c := range cells {
		c = strings.TrimSpace(c)
		switch {
		case i >= mostColumns && c != "":
			return nil, &Error{Sheet: sheet, Row: row, Column: i + 1, What: fmt.Sprintf("something stands beyond the first %d columns", mostColumns), Do: "clear what is no part of the table"}
		case len(c) > mostCell:
			return nil, &Error{Sheet: sheet, Row: row, Column: i + 1, What: "the cell holds more than 4 KiB", Do: "shorten it"}
		}
		cells[i] = number(c)
	}
	for len(cells) > 0 && cells[len(cells)-1] == "" {
		cells = cells[:len(cells)-1]
	}
	return cells, nil
}

// stored is how many digits of a number a workbook keeps that mean something.
const stored = 15

// number writes a number that is stored with all its binary digits, or with a power of
// ten, as it was typed: -1180.0999999999999 is -1180.1.
func number(cell string) string {
	if len(cell) <= stored && !strings.Contains(cell, "E") {
		return cell
	}
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil || !strings.ContainsAny(cell[:1], "-0123456789") {
		return cell
	}
	short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', stored, 64), 64)
	if err != nil || short > 1e15 || short < -1e15 {
		return cell
	}
	return strconv.FormatFloat(short, 'f', -1, 64)
}
