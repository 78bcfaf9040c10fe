package readings

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"lostair/readings/csvtext"
	"lostair/readings/problem"
	"lostair/readings/units"
	"lostair/readings/workbook"
)

// Start is a new readings file: the comments, a line each, and the header row.
func Start(comments ...string) []byte {
	var b bytes.Buffer
	for _, c := range comments {
		b.WriteString(c + "\n")
	}
	b.WriteString(strings.Join(writtenNames, ",") + "\n")
	return b.Bytes()
}

// Append gives a readings file with one row more, written in the file's own columns,
// separator and line ends; what is there stays to the byte. The error says why that
// can't be: the file is no text in UTF-8, it has no header row, or it lacks a column
// that the row needs.
func Append(data []byte, row Row, sys units.System) ([]byte, error) {
	names, sep, err := headOf(data)
	if err != nil {
		return nil, err
	}
	if !slices.Contains(names, "unit") { // a bare number is in the system's own
		if own := row.Dimension().Symbol(sys); row.Unit != "" && row.Unit != own {
			row.Unit, row.Typed = own, ""
		}
	}
	if row.Look != "" && !row.Look.Number() {
		row.Unit = ""
	}
	fields, err := row.fields(sys)
	if err != nil {
		return nil, err
	}
	line := make([]string, len(names))
	for i, n := range writtenNames {
		at := slices.Index(names, n)
		switch {
		case at >= 0:
			line[at] = fields[i]
		case fields[i] != "" && (n == "hose_off" || n == "position"):
			return nil, fmt.Errorf("the file has no column %q, which this row needs; add it to the header row", n)
		}
	}
	return csvtext.Append(data, line, sep)
}

// AppendComment gives a file with a comment more; text begins with #.
func AppendComment(data []byte, text string) []byte {
	return csvtext.AppendLine(data, strings.NewReplacer("\r", " ", "\n", " ").Replace(text))
}

// headOf finds the columns and the separator of a file.
func headOf(data []byte) ([]string, rune, error) {
	if workbook.Is(data) {
		return nil, 0, errors.New("the file is a workbook; save the sheet as CSV")
	}
	if bytes.HasPrefix(data, []byte{0xFF, 0xFE}) || bytes.HasPrefix(data, []byte{0xFE, 0xFF}) || !utf8.Valid(data) {
		return nil, 0, errors.New("the file is not UTF-8; " + asUTF8)
	}
	if bytes.Contains(bytes.ReplaceAll(data, []byte("\r\n"), nil), []byte("\r")) {
		return nil, 0, errors.New("the file's lines end as those of an old program; " + asUTF8)
	}
	p := problems{}
	t, ok := readText(bytes.NewReader(data), &p)
	if !ok {
		return nil, 0, errors.New(p.list[0].What)
	}
	sep := t.separator()
	records := t.records(sep, &p)
	if len(records) == 0 {
		return nil, 0, errors.New("the file has no header row")
	}
	names := p.header(records[0])
	if !hasAll(names) {
		return nil, 0, errors.New("the file's header row lacks a column; needed are " + problem.AndList(needed()))
	}
	return names, sep, nil
}

// RemoveLast gives a file without the line on which a row stands, which must be one
// that Append wrote: a line of its own.
func RemoveLast(data []byte, line int) ([]byte, error) {
	lines := bytes.SplitAfter(data, []byte("\n"))
	if line < 2 || line > len(lines) {
		return nil, fmt.Errorf("line %d is not in the file", line)
	}
	return bytes.Join(slices.Delete(slices.Clone(lines), line-1, line), nil), nil
}
