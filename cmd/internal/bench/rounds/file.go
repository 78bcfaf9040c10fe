package rounds

import (
	"bytes"
	"fmt"
	"path"
	"slices"
	"strings"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/store"
	"lostair/readings"
)

// File is a round as its readings file has it.
type File struct {
	Name      string
	Version   string
	Complaint string
	Rows      []readings.Row // looks among them, as they stand in the file
	survey    *readings.Survey
	data      []byte
}

const (
	roundPrefix = "round-"
	roundHead   = "# A round with the bench page. Complaint: "
)

// afterSuffix ends the name of a proof's file, beside the survey it is of.
const afterSuffix = "-after.csv"

func afterName(survey string) string { return strings.TrimSuffix(survey, ".csv") + afterSuffix }

// Words are the round's name and how many readings it has.
func (r *File) Words() string {
	return fmt.Sprintf("%s: %s so far", strings.TrimSuffix(strings.TrimPrefix(r.Name, roundPrefix), ".csv"), pages.Plural(len(r.Rows), "reading"))
}

// Last is the newest round; nil: there is none.
func Last(d *desk.Desk) (*File, error) {
	for _, n := range d.Tables() {
		if strings.HasPrefix(path.Base(n), roundPrefix) && !strings.Contains(n, "/") && !strings.HasSuffix(n, afterSuffix) {
			return roundNamed(d, n)
		}
	}
	return nil, nil
}

// roundNamed is the round in a file.
func roundNamed(d *desk.Desk, name string) (*File, error) {
	data, err := d.Files.Read(name)
	if err != nil {
		return nil, err
	}
	r := &File{Name: name, Version: store.VersionOf(data), data: data}
	r.Complaint = readings.ComplaintIn(string(data))
	r.survey, _ = readings.Read(bytes.NewReader(data), name, d.Units())
	r.Rows = append(slices.Clone(r.survey.Rows), r.survey.Looks...)
	slices.SortStableFunc(r.Rows, func(a, b readings.Row) int { return a.Line - b.Line })
	return r, nil
}
