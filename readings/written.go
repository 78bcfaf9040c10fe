package readings

import (
	"fmt"
	"strconv"

	"github.com/gocarina/gocsv"
)

// written is one row as it stands in the file, its fields found by the header.
type written struct {
	Date       string `csv:"date"`
	Open       string `csv:"open"`
	Point      string `csv:"point"`
	Quantity   string `csv:"quantity"`
	Value      string `csv:"value"`
	Unit       string `csv:"unit"`
	Instrument string `csv:"instrument"`
	HoseOff    string `csv:"hose_off"`
	Position   string `csv:"position"`
	Note       string `csv:"note"`
}

// place is where a row stands.
type place struct {
	line    int
	columns Columns
	note    int
	beside  bool // note is the field right after value
}

// table hands rows already read to gocsv. It reads the file itself only
// through its package's settings and gives positions in rows, not lines.
type table [][]string

// Read is part of gocsv's interface; UnmarshalCSV calls ReadAll alone.
func (t table) Read() ([]string, error) {
	return nil, fmt.Errorf("readings: a table is read as a whole")
}
func (t table) ReadAll() ([][]string, error) { return t, nil }

// written decodes records by the names of their columns ("" for one that is
// not read). Rows with more fields than columns are reported and left out.
func (l *loader) written(names []string, records []record) ([]written, []place) {
	t := table{names}
	var places []place
	for _, r := range records {
		if l.tooLong(names, r) {
			continue
		}
		r.fields = r.fields[:min(len(r.fields), len(names))]
		t, places = append(t, r.fields), append(places, placeOf(names, r))
	}
	var out []written
	if err := gocsv.UnmarshalCSV(t, &out); err != nil {
		l.fail(0, 0, "the file cannot be read: "+err.Error(), "check that it is a CSV file")
		return nil, nil
	}
	return out, places
}

// tooLong reports a row with text beyond the last named column.
func (l *loader) tooLong(names []string, r record) bool {
	for i := len(names); i < len(r.fields); i++ {
		if r.fields[i] == "" {
			continue
		}
		do := "put a text that holds the separator in quotation marks"
		if l.sep == ',' {
			do = "write numbers with a decimal point, and put a text that holds a comma in quotation marks"
		}
		l.fail(r.line, r.columns[i], fmt.Sprintf("the row has %d fields, the header %d", len(r.fields), len(names)), do)
		return true
	}
	return false
}

func placeOf(names []string, r record) place {
	p := place{line: r.line}
	of := map[string]*int{"date": &p.columns.Date, "open": &p.columns.Open, "point": &p.columns.Point, "quantity": &p.columns.Quantity,
		"value": &p.columns.Value, "unit": &p.columns.Unit, "instrument": &p.columns.Instrument, "hose_off": &p.columns.HoseOff,
		"position": &p.columns.Position, "note": &p.note}
	for i := range r.fields {
		if c := of[names[i]]; c != nil {
			*c = r.columns[i]
		}
		p.beside = p.beside || names[i] == "note" && i > 0 && names[i-1] == "value"
	}
	return p
}

// digits is whether text is nothing but digits.
func digits(text string) bool {
	_, err := strconv.ParseUint(text, 10, 64)
	return err == nil && text[0] != '+'
}
