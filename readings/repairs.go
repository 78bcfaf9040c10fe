package readings

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

	"lostair/readings/problem"
)

// RepairsFile is the name of the log of repairs, which stands beside the surveys
// and is none of them.
const RepairsFile = "repairs.csv"

// Repair is a row of the log of repairs.
type Repair struct {
	Date   time.Time
	Kind   string // kind of fault, as in the result; may be empty
	Where  string // its place, as in the result; may be empty
	Action string // what was done
	Note   string
	Line   int
}

// repairColumns are the columns of the log.
var repairColumns = []string{"date", "kind", "where", "action", "note"}

// LoadRepairs reads the log of repairs. A log that isn't there is an empty one.
// All that is wrong is reported; then the log is nil.
func LoadRepairs(path string) ([]Repair, problem.List) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, problem.List{{File: path, What: "the file cannot be read: " + cause(err), Do: "check the name and that you may read it"}}
	}
	defer f.Close()
	return ReadRepairs(io.LimitReader(f, mostBytes), path)
}

// ReadRepairs is LoadRepairs for a log that is open; file is its name in messages.
func ReadRepairs(in io.Reader, file string) ([]Repair, problem.List) {
	r := csv.NewReader(in)
	r.FieldsPerRecord, r.Comment, r.TrimLeadingSpace = -1, '#', true
	head, err := r.Read()
	if err == io.EOF {
		return nil, nil
	}
	if err != nil {
		return nil, problem.List{{File: file, What: "this is not CSV: " + err.Error(), Do: "begin with the line " + strings.Join(repairColumns, ",")}}
	}
	at := map[string]int{}
	for i, h := range head {
		at[foldName(strings.TrimPrefix(h, "\uFEFF"))] = i
	}
	if _, ok := at["date"]; !ok {
		return nil, problem.List{{File: file, Line: 1, What: `the column "date" is missing`, Do: "begin with the line " + strings.Join(repairColumns, ",")}}
	}
	return repairRows(r, file, at)
}

func repairRows(r *csv.Reader, file string, at map[string]int) (out []Repair, bad problem.List) {
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
			bad = append(bad, problem.Problem{File: file, Line: line, Column: column, What: fmt.Sprintf("%s is not a date", quote(field("date"))), Do: "write it as 2026-03-02"})
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

// RepairsBeside are the logs that stand beside the given surveys, each once.
func RepairsBeside(surveys []*Survey) (paths []string) {
	for _, s := range surveys {
		if p := filepath.Join(filepath.Dir(s.File), RepairsFile); s.File != "-" && !slices.Contains(paths, p) {
			paths = append(paths, p)
		}
	}
	return paths
}
