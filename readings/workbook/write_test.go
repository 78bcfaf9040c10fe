package workbook

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// What is written is read back, cell by cell, and twice the same.
func TestWrite(t *testing.T) {
	table := Table{Name: "readings", Columns: []Column{Dates, Text, Numbers}, Rows: [][]string{
		{"date", "open", "value", "note"},
		{"2026-03-02", "saw", "-1180.1", "=1+1"},
		nil,
		{"", "12", "1e3", "007"},
		{"", "", "0.0000001", strings.Repeat("é", 99)},
	}}
	write := func() []byte {
		var b bytes.Buffer
		require.NoError(t, Write(&b, table))
		return b.Bytes()
	}
	data := write()
	require.Equal(t, data, write())
	s, err := Read(data, fits)
	require.NoError(t, err)
	require.Equal(t, "readings", s.Name)
	require.Equal(t, table.Rows, s.Rows)

	f, err := excelize.OpenReader(bytes.NewReader(data))
	require.NoError(t, err)
	for at, want := range map[string]excelize.CellType{"A1": excelize.CellTypeSharedString, "B4": excelize.CellTypeSharedString,
		"C2": excelize.CellTypeUnset, "C4": excelize.CellTypeSharedString, "D2": excelize.CellTypeSharedString} {
		got, err := f.GetCellType("readings", at)
		require.NoError(t, err)
		require.Equal(t, want, got, at)
	}
	require.NoError(t, f.SetCellValue("readings", "A4", time.Date(2026, 3, 7, 0, 0, 0, 0, time.UTC)), "as it is typed into an empty cell")
	text, err := f.GetCellFormula("readings", "D2")
	require.NoError(t, err)
	require.Empty(t, text, "text is no formula")
	core, err := f.GetDocProps()
	require.NoError(t, err)
	require.Equal(t, "lostair", core.Creator)
}

func TestWritten(t *testing.T) {
	for name, want := range map[string]bool{"a.xlsx": true, "A.XLSX": true, "a.xlsm": false, "a.ods": false, "a.csv": false} {
		require.Equal(t, want, Written(name), name)
	}
}
