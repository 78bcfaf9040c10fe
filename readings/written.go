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
	Factor     string `csv:"factor"`
}

// place is where a row stands.
type place struct {
	line    int
	columns Columns
	note    int
	beside  bool // note is the field right after value
}

// handed hands rows already read to gocsv. It reads the file itself only
// through its package's settings and gives positions in rows, not lines.
type handed [][]string

// Read is part of gocsv's interface; UnmarshalCSV calls ReadAll alone.
func (t handed) Read() ([]string, error) {
	return nil, fmt.Errorf("readings: a table is read as a whole")
}
func (t handed) ReadAll() ([][]string, error) { return t, nil }

// written decodes records by the names of their columns ("" for one that is
// not read). Rows with more fields than columns are reported and left out.
func (l *loader) written(names []string, records []record) ([]written, []place) {
	t, lay := handed{names}, layoutOf(names)
	places := make([]place, 0, len(records))
	for _, r := range records {
		if l.tooLong(names, r) {
			continue
		}
		r.fields = r.fields[:min(len(r.fields), len(names))]
		t, places = append(t, r.fields), append(places, lay.place(&r))
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

// layout finds the fields of a row by the names of the columns.
type layout struct {
	at     map[string]int // field of each column that is read
	beside bool           // the note follows right after the value
}

func layoutOf(names []string) layout {
	l := layout{at: map[string]int{}}
	for i, n := range names {
		if n != "" {
			l.at[n] = i
		}
	}
	note, ok := l.at["note"]
	l.beside = ok && note == l.at["value"]+1
	return l
}

// column is the place of the field name in r; 0: the row has none.
func (l *layout) column(r *record, name string) int {
	if i, ok := l.at[name]; ok && i < len(r.columns) {
		return r.columns[i]
	}
	return 0
}

func (l *layout) place(r *record) place {
	c := func(name string) int { return l.column(r, name) }
	return place{line: r.line, beside: l.beside, note: c("note"), columns: Columns{Open: c("open"), Point: c("point"), Quantity: c("quantity"),
		Value: c("value"), Unit: c("unit"), Instrument: c("instrument"), HoseOff: c("hose_off"), Position: c("position"), Date: c("date"), Factor: c("factor")}}
}

// digits is whether text is nothing but digits.
func digits(text string) bool {
	_, err := strconv.ParseUint(text, 10, 64)
	return err == nil && text[0] != '+'
}
