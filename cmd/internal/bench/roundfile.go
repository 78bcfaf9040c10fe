package bench

import (
	"bytes"
	"fmt"
	"path"
	"slices"
	"strings"

	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/store"
	"lostair/readings"
)

// roundFile is a round as its readings file has it.
type roundFile struct {
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

const afterSuffix = "-after.csv"

func afterName(survey string) string { return strings.TrimSuffix(survey, ".csv") + afterSuffix }

func (r *roundFile) words() string {
	return fmt.Sprintf("%s: %s so far", strings.TrimSuffix(strings.TrimPrefix(r.Name, roundPrefix), ".csv"), pages.Plural(len(r.Rows), "reading"))
}

// lastRound is the newest round; nil: there is none.
func (d *desk) lastRound() (*roundFile, error) {
	for _, n := range d.tables() {
		if strings.HasPrefix(path.Base(n), roundPrefix) && !strings.Contains(n, "/") && !strings.HasSuffix(n, afterSuffix) {
			return d.roundNamed(n)
		}
	}
	return nil, nil
}

func (d *desk) roundNamed(name string) (*roundFile, error) {
	data, err := d.files.Read(name)
	if err != nil {
		return nil, err
	}
	r := &roundFile{Name: name, Version: store.VersionOf(data), data: data}
	r.Complaint = readings.ComplaintIn(string(data))
	r.survey, _ = readings.Read(bytes.NewReader(data), name, d.units())
	r.Rows = append(slices.Clone(r.survey.Rows), r.survey.Looks...)
	slices.SortStableFunc(r.Rows, func(a, b readings.Row) int { return a.Line - b.Line })
	return r, nil
}
