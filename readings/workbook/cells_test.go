package workbook

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"fmt"
	"io"
	"maps"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

func fits([]string) bool { return true }

// book is a workbook with these cells in its first sheet.
func book(t testing.TB, change func(f *excelize.File)) []byte {
	f := excelize.NewFile()
	defer f.Close()
	change(f)
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	return b.Bytes()
}

func set(t testing.TB, f *excelize.File, sheet string, cells map[string]value) {
	for at, v := range cells {
		require.NoError(t, f.SetCellValue(sheet, at, v))
	}
}

type value = interface{}

// A number is as it was typed, whatever its cell's format shows; a day is its number.
func TestCells(t *testing.T) {
	data := book(t, func(f *excelize.File) {
		set(t, f, "Sheet1", map[string]value{"A1": "open", "C1": " value ", "A3": "saw", "B3": 0.1 + 0.2, "C3": -1180.1, "D3": 1e-7,
			"E3": "1e3", "F3": 12345678.9, "G3": time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC), "H3": true})
		style, err := f.NewStyle(&excelize.Style{NumFmt: 4}) // 12,345,678.90
		require.NoError(t, err)
		require.NoError(t, f.SetCellStyle("Sheet1", "F3", "F3", style))
	})
	s, err := Read(data, fits)
	require.NoError(t, err)
	require.Equal(t, "Sheet1", s.Name)
	require.Equal(t, [][]string{{"open", "", "value"}, nil, {"saw", "0.3", "-1180.1", "0.0000001", "1e3", "12345678.9", "46083", "1"}}, s.Rows)
	require.Equal(t, "2026-03-02", s.From.AddDate(0, 0, 46083).Format(time.DateOnly))
}

// The first sheet that fits is taken, else the first with anything in it; one that is
// hidden is not looked at.
func TestWhichSheet(t *testing.T) {
	data := book(t, func(f *excelize.File) {
		for _, name := range []string{"Empty", "Other", "Hidden", "Fits"} {
			_, err := f.NewSheet(name)
			require.NoError(t, err)
		}
		set(t, f, "Other", map[string]value{"B2": "other"})
		set(t, f, "Hidden", map[string]value{"A1": "head"})
		set(t, f, "Fits", map[string]value{"A1": "# a note", "A3": "head"})
		require.NoError(t, f.SetSheetVisible("Hidden", false))
	})
	s, err := Read(data, func(row []string) bool { return row[0] == "head" })
	require.NoError(t, err)
	require.Equal(t, "Fits", s.Name)
	s, err = Read(data, func([]string) bool { return false })
	require.NoError(t, err)
	require.Equal(t, "Other", s.Name)
	_, err = Read(book(t, func(*excelize.File) {}), fits)
	require.EqualError(t, err, "the workbook has no sheet with anything in it; write the table into its first sheet")
}

// What is none, or far too large, is refused before it is taken apart.
func TestRefused(t *testing.T) {
	whole := book(t, func(f *excelize.File) { set(t, f, "Sheet1", map[string]value{"A1": "open"}) })
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"cut short":       {whole[:len(whole)/2], "damaged"},
		"a document":      {zipped(t, map[string]string{"word/document.xml": "<w/>"}), "no workbook"},
		"no content":      {zipped(t, map[string]string{"xl/workbook.xml": "<workbook/>"}), ""},
		"older":           {[]byte("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1 and so on"), "older kind"},
		"unpacks to much": {zipped(t, map[string]string{"xl/workbook.xml": "", "xl/worksheets/sheet1.xml": strings.Repeat(" ", 100<<20)}), "more than 12 MiB"},
		"says little":     {lying(t), "damaged"},
		"many parts":      {zipped(t, many(1500)), "1000 parts"},
		"far right": {book(t, func(f *excelize.File) {
			set(t, f, "Sheet1", map[string]value{"A1": "open", "XFD2": "here"})
		}), "beyond the first 100 columns"},
		"far down": {book(t, func(f *excelize.File) {
			set(t, f, "Sheet1", map[string]value{"A1": "open", "A1048576": "here"})
		}), "more than 50000 rows"},
		"a book in a cell": {book(t, func(f *excelize.File) {
			set(t, f, "Sheet1", map[string]value{"A1": strings.Repeat("x", 5000)})
		}), "more than 4 KiB"},
		"empty cells to the right": {wide(t), "too far to the right"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Read(c.data, fits)
			require.Error(t, err)
			var bad *Error
			require.ErrorAs(t, err, &bad)
			require.Contains(t, bad.What, c.want)
			require.NotEmpty(t, bad.Do)
		})
	}
}

func many(n int) map[string]string {
	out := map[string]string{}
	for i := range n {
		out[fmt.Sprintf("xl/%d.xml", i)] = ""
	}
	return out
}

func zipped(t testing.TB, parts map[string]string) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, text := range parts {
		w, err := z.Create(name)
		require.NoError(t, err)
		_, err = io.WriteString(w, text)
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.Bytes()
}

// lying is a file that says of its part that it is small, and unpacks to more.
func lying(t testing.TB) []byte {
	var packed bytes.Buffer
	d, err := flate.NewWriter(&packed, flate.BestCompression)
	require.NoError(t, err)
	_, err = d.Write(bytes.Repeat([]byte(" "), 200<<20))
	require.NoError(t, err)
	require.NoError(t, d.Close())
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.CreateRaw(&zip.FileHeader{Name: "xl/workbook.xml", Method: zip.Deflate, CompressedSize64: uint64(packed.Len()), UncompressedSize64: 10})
	require.NoError(t, err)
	_, err = w.Write(packed.Bytes())
	require.NoError(t, err)
	require.NoError(t, z.Close())
	return b.Bytes()
}

// unzipped are the parts of a workbook.
func unzipped(t testing.TB, whole []byte) map[string]string {
	r, err := zip.NewReader(bytes.NewReader(whole), int64(len(whole)))
	require.NoError(t, err)
	parts := map[string]string{}
	for _, p := range r.File {
		in, err := p.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(in)
		require.NoError(t, err)
		parts[p.Name] = string(text)
	}
	return parts
}

// wide is a workbook whose many rows have a formula that gives nothing in the last column there is.
func wide(t testing.TB) []byte {
	whole := book(t, func(f *excelize.File) { set(t, f, "Sheet1", map[string]value{"A1": "open"}) })
	parts := unzipped(t, whole)
	var rows strings.Builder
	for i := range 40_000 {
		fmt.Fprintf(&rows, `<row r="%d"><c r="A%d"><v>1</v></c><c r="XFD%d" t="str"><f>B1</f><v></v></c></row>`, i+1, i+1, i+1)
	}
	const at = "xl/worksheets/sheet1.xml"
	before, _, ok := strings.Cut(parts[at], "<sheetData>")
	require.True(t, ok)
	parts[at] = before + "<sheetData>" + rows.String() + "</sheetData></worksheet>"
	return zipped(t, parts)
}

func TestByName(t *testing.T) {
	for name, want := range map[string]bool{"a.xlsx": true, "A.XLSM": true, "a.xls": true, "a.csv": false, "xlsx": false} {
		require.Equal(t, want, Named(name), name)
	}
	require.False(t, Is([]byte("open,point")))
}

// sheetOrError says that there is a sheet, or an error with what to do.
func sheetOrError(t *testing.T, data []byte) {
	s, err := Read(data, fits)
	if err == nil && s == nil {
		t.Fatal("neither a sheet nor an error")
	}
	if bad, ok := err.(*Error); err != nil && (!ok || bad.Do == "") {
		t.Fatal("an error without what to do")
	}
}

// Whatever the bytes, there is a sheet or an error with what to do.
func FuzzRead(f *testing.F) {
	f.Add(book(f, func(x *excelize.File) { set(f, x, "Sheet1", map[string]value{"A1": "open", "B2": 1.5}) }))
	f.Add(zipped(f, map[string]string{"xl/workbook.xml": "<workbook/>"}))
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) <= 1<<20 {
			sheetOrError(t, data)
		}
	})
}

// The same of whatever stands in the parts of a workbook, which a change of packed bytes
// hardly reaches.
func FuzzParts(f *testing.F) {
	parts := unzipped(f, book(f, func(x *excelize.File) {
		set(f, x, "Sheet1", map[string]value{"A1": "open", "B1": "value", "A2": "saw", "B2": 1.5, "C2": time.Date(2026, 3, 7, 0, 0, 0, 0, time.UTC)})
	}))
	const sheet, texts, styles = "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml", "xl/styles.xml"
	f.Add(parts[sheet], parts[texts], parts[styles])
	f.Add(parts[sheet], "", "")
	f.Fuzz(func(t *testing.T, a, b, c string) {
		if len(a)+len(b)+len(c) > 1<<16 {
			return
		}
		is := maps.Clone(parts)
		is[sheet], is[texts], is[styles] = a, b, c
		sheetOrError(t, zipped(t, is))
	})
}
