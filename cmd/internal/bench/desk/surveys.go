package desk

import (
	"bytes"
	"cmp"
	"errors"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"

	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/store"
	"lostair/diagnose"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/repairs"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/html"
)

// Tables lists the CSV files, newest first as far as names tell.
func (d *Desk) Tables() []string {
	names, err := d.Files.Names()
	if err != nil {
		return nil
	}
	var out []string
	for _, n := range names {
		if strings.EqualFold(path.Ext(n), ".csv") && n != repairs.File {
			out = append(out, n)
		}
	}
	slices.SortFunc(out, func(a, b string) int {
		return cmp.Compare(strings.TrimSuffix(b, ".csv"), strings.TrimSuffix(a, ".csv"))
	})
	return out
}

// Survey reads a survey; its bare numbers are in units u.
func (d *Desk) Survey(name string, u units.System) (*readings.Survey, problem.List) {
	data, err := d.Files.Read(name)
	if err != nil {
		return nil, problem.List{{File: name, What: "can't be read: " + bare(err).Error(), Do: "look whether it is still there"}}
	}
	return readings.Load(bytes.NewReader(data), name, u)
}

// Readable lists the surveys that hold a reading, newest first by their dates.
func (d *Desk) Readable() []string {
	type dated struct {
		name string
		last time.Time
	}
	var all []dated
	for _, n := range d.Tables() {
		v, list := d.Survey(n, d.Units())
		if v == nil && !holdsRows(list.Error()) {
			continue
		}
		x := dated{name: n}
		if v != nil {
			x.last, _ = readings.DateOf(v)
		}
		all = append(all, x)
	}
	slices.SortStableFunc(all, func(a, b dated) int {
		return cmp.Or(b.last.Compare(a.last), cmp.Compare(strings.Count(a.name, "/"), strings.Count(b.name, "/")), cmp.Compare(strings.TrimSuffix(b.name, ".csv"), strings.TrimSuffix(a.name, ".csv")))
	})
	var out []string
	for _, x := range all {
		out = append(out, x.name)
	}
	return out
}

// holdsRows says whether a file that can't be read as a survey is one with a
// mistake in it, rather than an empty round or no survey at all.
func holdsRows(problems string) bool {
	return !strings.Contains(problems, "no readings") && !strings.Contains(problems, "no row has a value") && !strings.Contains(problems, "names no column")
}

// OfAGoodDay finds a survey that its name says was taken when all was sound.
func OfAGoodDay(names []string) string {
	for _, n := range names {
		base := strings.ToLower(path.Base(n))
		if strings.Contains(base, "when-sound") || strings.Contains(base, "when-new") || strings.Contains(base, "baseline") {
			return n
		}
	}
	return ""
}

// Repairs reads the log of repairs as lostair track does, oldest first; a log with a
// mistake in it counts as empty, and its mistakes are told.
func (d *Desk) Repairs() ([]repairs.Repair, []pages.Telling, error) {
	data, err := d.Files.Read(repairs.File)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, err
	}
	log, list := repairs.Read(bytes.NewReader(data), repairs.File)
	return log, pages.Told(list), nil
}

// Diagnosis is what a survey says of the shop, beside one of a good day or without.
func (d *Desk) Diagnosis(survey, sound string) (*Answered, error) {
	sys, err := d.System()
	if err != nil {
		return nil, err
	}
	key := strings.Join([]string{store.VersionOf(d.Data), survey, store.Version(d.Files, survey), sound, store.Version(d.Files, sound)}, "|")
	return d.thought.of(key, func() (*Answered, error) {
		v, list := d.Survey(survey, sys.Units)
		if err := list.Err(); err != nil {
			return nil, err
		}
		var opt diagnose.Options
		if sound != "" {
			b, list := d.Survey(sound, sys.Units)
			if err := list.Err(); err != nil {
				return nil, err
			}
			opt.Baselines = []*readings.Survey{b}
		}
		r, err := diagnose.Stand(d.Context(), sys, v, opt)
		if err != nil {
			return nil, err
		}
		return &Answered{SI: r, Shown: report.From(r.Result, sys.Units), Units: sys.Units}, nil
	})
}

// Page is the whole report, as lostair diagnose --format html writes it.
func (a *Answered) Page() ([]byte, error) {
	return pages.Written(func(w io.Writer) error { return html.Write(w, a.SI.Result, a.Units) })
}
