package repairs

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"lostair/readings"
	"lostair/readings/csvtext"
	"lostair/readings/problem"
)

// File is the name of the log of repairs, which stands beside the surveys
// and is none of them.
const File = "repairs.csv"

// Repair is a row of the log of repairs.
type Repair struct {
	Date   time.Time
	Kind   string // kind of fault, as in the result; may be empty
	Where  string // its place, as in the result; may be empty
	Action string // what was done
	Note   string
	Line   int
}

// columns are the columns of the log.
var columns = []string{"date", "kind", "where", "action", "note"}

// mostOfLog keeps a wrong file from being read to its end.
const mostOfLog = 16 << 20

// Load reads the log of repairs. A log that isn't there is an empty one.
// All that is wrong is reported; then the log is nil.
func Load(path string) ([]Repair, problem.List) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, problem.List{{File: path, What: "the file cannot be read: " + problem.Cause(err), Do: "check the name and that you may read it"}}
	}
	defer f.Close()
	return Read(io.LimitReader(f, mostOfLog), path)
}

// Read is Load for a log that is open; file is its name in messages.
func Read(in io.Reader, file string) ([]Repair, problem.List) {
	r := csv.NewReader(in)
	r.FieldsPerRecord, r.Comment, r.TrimLeadingSpace = -1, '#', true
	head, err := r.Read()
	if err == io.EOF {
		return nil, nil
	}
	if err != nil {
		return nil, problem.List{{File: file, What: "this is not CSV: " + err.Error(), Do: "begin with the line " + strings.Join(columns, ",")}}
	}
	at := map[string]int{}
	for i, h := range head {
		at[csvtext.FoldName(strings.TrimPrefix(h, "\uFEFF"))] = i
	}
	if _, ok := at["date"]; !ok {
		return nil, problem.List{{File: file, Line: 1, What: `the column "date" is missing`, Do: "begin with the line " + strings.Join(columns, ",")}}
	}
	return rows(r, file, at)
}

func rows(r *csv.Reader, file string, at map[string]int) (out []Repair, bad problem.List) {
	for {
		row, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			bad = append(bad, problem.Problem{File: file, What: "this is not CSV: " + err.Error(), Do: "check its quotation marks"})
			break
		}
		field := func(name string) string {
			if i, ok := at[name]; ok && i < len(row) {
				return strings.TrimSpace(row[i])
			}
			return ""
		}
		line, _ := r.FieldPos(0)
		x := Repair{Kind: field("kind"), Where: field("where"), Action: field("action"), Note: field("note"), Line: line}
		if x.Date, err = time.Parse(time.DateOnly, field("date")); err != nil {
			_, column := r.FieldPos(min(at["date"], len(row)-1))
			bad = append(bad, problem.Problem{File: file, Line: line, Column: column, What: fmt.Sprintf("%s is not a date", problem.Quote(field("date"), 40)), Do: "write it as 2026-03-02"})
			continue
		}
		out = append(out, x)
	}
	if bad.Err() != nil {
		return nil, bad
	}
	slices.SortStableFunc(out, func(a, b Repair) int { return a.Date.Compare(b.Date) })
	return out, nil
}

// Beside are the logs that stand beside the given surveys, each once.
func Beside(surveys []*readings.Survey) (paths []string) {
	for _, s := range surveys {
		if p := filepath.Join(filepath.Dir(s.File), File); s.File != "-" && !slices.Contains(paths, p) {
			paths = append(paths, p)
		}
	}
	return paths
}
