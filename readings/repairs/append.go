package repairs

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strings"

	"lostair/readings/csvtext"
)

// Row is a row to be written into the log of repairs.
type Row struct{ Date, Kind, Where, Action, Note string }

// Append gives a log of repairs with one row more; what is there stays to the
// byte. An empty log gets its header row; a row that stands there already is not
// written twice.
func Append(data []byte, r Row) ([]byte, error) {
	if len(bytes.TrimSpace(data)) == 0 {
		data = []byte(strings.Join(columns, ",") + "\n")
	}
	head := csv.NewReader(bytes.NewReader(data))
	head.FieldsPerRecord, head.Comment = -1, '#'
	names, err := head.Read()
	if err != nil && err != io.EOF {
		return nil, err
	}
	for i := range names {
		names[i] = csvtext.FoldName(strings.TrimPrefix(names[i], "\uFEFF"))
	}
	line := make([]string, len(names))
	for i, v := range []string{r.Date, r.Kind, r.Where, r.Action, r.Note} {
		if at := slices.Index(names, columns[i]); at >= 0 {
			line[at] = csvtext.Guard(v)
		}
	}
	if !slices.Contains(names, "date") {
		return nil, errors.New("the log has no column date; begin it with the line " + strings.Join(columns, ","))
	}
	out, err := csvtext.Append(data, line, ',')
	if row := bytes.TrimSpace(bytes.TrimPrefix(out, data)); err == nil && holdsLine(data, row) {
		return data, nil
	}
	return out, err
}

func holdsLine(data, line []byte) bool {
	for l := range bytes.Lines(data) {
		if bytes.Equal(bytes.TrimSpace(l), line) {
			return true
		}
	}
	return false
}
