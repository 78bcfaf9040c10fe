package readings

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

// records reads all rows but empty ones and comments. A row that is not good
// CSV is reported and left out.
func (t *text) records(sep rune, p *problems) []record {
	r := csv.NewReader(strings.NewReader(t.all))
	r.Comma = sep
	r.Comment = '#'
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = sep != '\t' // or it would swallow empty fields
	var out []record
	for {
		fields, err := r.Read()
		switch {
		case err == io.EOF:
			return out
		case err != nil:
			t.badCSV(err, p)
			continue
		}
		if rec, ok := t.record(r, fields); ok {
			out = append(out, rec)
		}
		if len(out) > mostRows+1 {
			p.fail(out[len(out)-1].line, 0, fmt.Sprintf("the file has more than %d rows", mostRows), "give the readings file of one survey")
			return nil
		}
	}
}

// record trims the fields and finds their places. It is false for a row of
// nothing but separators and for a comment that is indented or quoted; a
// quoted first field with more behind it may be an id that begins with #.
func (t *text) record(r *csv.Reader, fields []string) (record, bool) {
	line, _ := r.FieldPos(0)
	rec := record{line: line, fields: fields}
	written := 0 // bytes
	for i, f := range fields {
		fields[i] = strings.TrimSpace(f)
		written += len(fields[i])
	}
	if written == 0 {
		return record{}, false
	}
	if strings.HasPrefix(fields[0], "#") && (written == len(fields[0]) || strings.HasPrefix(strings.TrimSpace(t.lines[line-1]), "#")) {
		return record{}, false
	}
	rec.columns = make([]int, len(fields))
	for i := range fields {
		l, at := r.FieldPos(i)
		rec.columns[i] = t.start(l, at)
	}
	return rec, true
}

// start is the column, in characters, of the first character at or after
// byte column at that is no blank.
func (t *text) start(line, at int) int {
	l := t.lines[line-1]
	at = min(at, len(l)+1)
	rest := l[at-1:]
	blank := len(rest) - len(strings.TrimLeft(rest, " \u00a0"))
	return t.column(line, at+blank)
}

// badCSV reports an error of the CSV reader.
func (t *text) badCSV(err error, p *problems) {
	var pe *csv.ParseError
	if !errors.As(err, &pe) {
		p.fail(0, 0, "the file cannot be read: "+err.Error(), "check that it is a CSV file")
		return
	}
	if pe.Line <= len(t.lines) && strings.HasPrefix(strings.TrimSpace(t.lines[pe.Line-1]), "#") {
		return
	}
	column := t.column(pe.Line, pe.Column)
	switch {
	case errors.Is(pe.Err, csv.ErrBareQuote):
		p.fail(pe.Line, column, "a quotation mark stands within a field",
			"write in or inH2O for the inch sign, or put the field in quotation marks and double those inside")
	case pe.StartLine != pe.Line:
		p.fail(pe.StartLine, 0, fmt.Sprintf("a quotation mark of this row is not closed, up to line %d", min(pe.Line, len(t.lines))), closeIt)
	case pe.Line > len(t.lines) || pe.Column > len(t.lines[pe.Line-1]):
		p.fail(pe.Line, 0, "a quotation mark of this row is not closed", closeIt)
	default:
		p.fail(pe.Line, column, "a quoted field does not end with its quotation mark", closeIt)
	}
}

const closeIt = "close it, double it if it belongs to the text, or write in or inH2O for the inch sign"
