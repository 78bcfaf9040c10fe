//go:build !js

package workbook

import (
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
)

// Widths of a column, in characters.
const narrowest, widest = 9, 60

// Write writes a workbook of one sheet: the first row stays in view, and what is a
// number is stored as one in the columns that hold numbers. In those that hold dates a
// day that is typed shows as 2026-03-02. The same rows give the same bytes.
func Write(w io.Writer, t Table) error {
	f := excelize.NewFile()
	defer f.Close()
	if err := f.SetSheetName("Sheet1", t.Name); err != nil {
		return err
	}
	if err := f.SetDocProps(&excelize.DocProperties{Creator: "lostair"}); err != nil {
		return err
	}
	if err := f.SetAppProps(&excelize.AppProperties{Application: "lostair"}); err != nil {
		return err
	}
	if err := dress(f, &t); err != nil {
		return err
	}
	for i, row := range t.Rows {
		for k, cell := range row {
			if cell == "" {
				continue
			}
			at, err := excelize.CoordinatesToCellName(k+1, i+1)
			if err != nil {
				return err
			}
			if v, ok := stands(cell); ok && t.column(k) == Numbers && i > 0 {
				err = f.SetCellFloat(t.Name, at, v, -1, 64)
			} else {
				err = f.SetCellStr(t.Name, at, cell)
			}
			if err != nil {
				return err
			}
		}
	}
	return f.Write(w)
}

// stands is the number that a cell is, if it is written as Read gives it back.
func stands(cell string) (float64, bool) {
	v, err := strconv.ParseFloat(cell, 64)
	return v, err == nil && number(strconv.FormatFloat(v, 'G', -1, 64)) == cell
}

// dress sets how the sheet looks.
func dress(f *excelize.File, t *Table) error {
	iso := "yyyy-mm-dd"
	day, err := f.NewStyle(&excelize.Style{CustomNumFmt: &iso})
	if err != nil {
		return err
	}
	bold, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return err
	}
	for k := range t.Rows[0] {
		name, err := excelize.ColumnNumberToName(k + 1)
		if err != nil {
			return err
		}
		width := narrowest
		for _, row := range t.Rows {
			if k < len(row) {
				width = max(width, 2+utf8.RuneCountInString(strings.TrimSpace(row[k])))
			}
		}
		if err := f.SetColWidth(t.Name, name, name, float64(min(width, widest))); err != nil {
			return err
		}
		if t.column(k) == Dates {
			if err := f.SetColStyle(t.Name, name, day); err != nil {
				return err
			}
		}
	}
	last, err := excelize.CoordinatesToCellName(len(t.Rows[0]), len(t.Rows))
	if err != nil {
		return err
	}
	if err := f.SetSheetDimension(t.Name, "A1:"+last); err != nil {
		return err
	}
	if err := f.SetRowStyle(t.Name, 1, 1, bold); err != nil {
		return err
	}
	return f.SetPanes(t.Name, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"})
}
