package readings

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strings"
)

// RepairRow is a row to be written into the log of repairs.
type RepairRow struct{ Date, Kind, Where, Action, Note string }

// AppendRepair gives a log of repairs with one row more; what is there stays to the
// byte. An empty log gets its header row; a row that stands there already is not
// written twice.
func AppendRepair(data []byte, r RepairRow) ([]byte, error) {
	if len(bytes.TrimSpace(data)) == 0 {
		data = []byte(strings.Join(repairColumns, ",") + "\n")
	}
	head := csv.NewReader(bytes.NewReader(data))
	head.FieldsPerRecord, head.Comment = -1, '#'
	names, err := head.Read()
	if err != nil && err != io.EOF {
		return nil, err
	}
	for i := range names {
		names[i] = foldName(strings.TrimPrefix(names[i], "\uFEFF"))
	}
	line := make([]string, len(names))
	for i, v := range []string{r.Date, r.Kind, r.Where, r.Action, r.Note} {
		if at := slices.Index(names, repairColumns[i]); at >= 0 {
			line[at] = guard(v)
		}
	}
	if !slices.Contains(names, "date") {
		return nil, errors.New("the log has no column date; begin it with the line " + strings.Join(repairColumns, ","))
	}
	out, err := appendFields(data, line, ',')
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
