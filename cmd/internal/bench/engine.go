package bench

import (
	"bytes"
	"context"
	"io"
	"slices"
	"strings"
	"sync"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/plan"
	"lostair/diagnose/repair"
	"lostair/diagnose/round"
	"lostair/diagnose/track"
	"lostair/diagnose/whatif"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/changed"
	"lostair/report/html"
	"lostair/report/planned"
	"lostair/report/repaired"
	"lostair/report/sheet"
	"lostair/report/show"
	"lostair/report/tracked"
)

// This file is all that the pages ask of packages diagnose and report.

// memo keeps the last diagnoses, which several pages and devices ask for.
type memo struct {
	mu   sync.Mutex
	keys []string
	kept []*answered
}

// answered is a diagnosis, also in the reader's units.
type answered struct {
	SI    *diagnose.Standing
	Shown *report.Result
	Units units.System
}

const mostKept = 8

// of gives what was worked out for a key, or works it out.
func (m *memo) of(key string, work func() (*answered, error)) (*answered, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if i := slices.Index(m.keys, key); i >= 0 {
		return m.kept[i], nil
	}
	a, err := work()
	if err != nil {
		return nil, err
	}
	m.keys, m.kept = append(m.keys, key), append(m.kept, a)
	if len(m.keys) > mostKept {
		m.keys, m.kept = m.keys[1:], m.kept[1:]
	}
	return a, nil
}

// system is the shop as check passes it.
func (d *desk) system() (*duct.System, error) {
	if err := d.needsShop(); err != nil {
		return nil, err
	}
	if d.sys == nil { // a step of a round asks for it several times
		s, list := duct.Load(d.data, systemName)
		if err := list.Err(); err != nil {
			return nil, err
		}
		d.sys = s
	}
	return d.sys, nil
}

// guessed says how wide the parts of the collector are known that the file only guesses.
func (d *desk) guessed() []telling {
	sys, err := d.system()
	if err != nil {
		return nil
	}
	var out []telling
	if fan := report.GuessedFan(sys, sys.Units); fan != "" {
		out = append(out, telling{What: show.Title(minus(fan)), Do: "begin a round: its readings do", Warning: true})
	}
	for _, part := range report.GuessedDrops(sys, sys.Units) {
		out = append(out, telling{What: show.Title(minus(part)), Warning: true})
	}
	return out
}

func (d *desk) survey(name string, u units.System) (*readings.Survey, problem.List) {
	data, err := d.files.Read(name)
	if err != nil {
		return nil, problem.List{{File: name, What: "can't be read: " + bare(err).Error(), Do: "look whether it is still there"}}
	}
	return readings.Load(bytes.NewReader(data), name, u)
}

// diagnosis is what a survey says of the shop, beside one of a good day or without.
func (d *desk) diagnosis(survey, sound string) (*answered, error) {
	sys, err := d.system()
	if err != nil {
		return nil, err
	}
	key := strings.Join([]string{VersionOf(d.data), survey, version(d.files, survey), sound, version(d.files, sound)}, "|")
	return d.thought.of(key, func() (*answered, error) {
		v, list := d.survey(survey, sys.Units)
		if err := list.Err(); err != nil {
			return nil, err
		}
		var opt diagnose.Options
		if sound != "" {
			b, list := d.survey(sound, sys.Units)
			if err := list.Err(); err != nil {
				return nil, err
			}
			opt.Baselines = []*readings.Survey{b}
		}
		r, err := diagnose.Stand(d.r.Context(), sys, v, opt)
		if err != nil {
			return nil, err
		}
		return &answered{SI: r, Shown: report.From(r.Result, sys.Units), Units: sys.Units}, nil
	})
}

func (a *answered) page() ([]byte, error) {
	return written(func(w io.Writer) error { return html.Write(w, a.SI.Result, a.Units) })
}

func written(show func(io.Writer) error) ([]byte, error) {
	var b bytes.Buffer
	err := show(&b)
	return b.Bytes(), err
}

// keptPlan keeps the round planned last.
type keptPlan struct {
	mu   sync.Mutex
	key  string
	rows []readings.Row
}

// plannedRound is the round of twenty readings that tells most for its time.
func (d *desk) plannedRound(sys *duct.System) ([]readings.Row, error) {
	return d.keep(&d.planned, func() ([]readings.Row, error) {
		r, err := plan.Plan(d.r.Context(), sys, nil, 20)
		if err != nil {
			return nil, err
		}
		return planned.Rows(r), nil
	})
}

// aroundRound is what a guided round reads where nobody complains of anything.
func (d *desk) aroundRound(sys *duct.System) ([]readings.Row, error) {
	return d.keep(&d.around, func() ([]readings.Row, error) { return round.Around(d.r.Context(), sys) })
}

// keep works out a plan once for the system file as it is.
func (d *desk) keep(p *keptPlan, of func() ([]readings.Row, error)) ([]readings.Row, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if key := VersionOf(d.data); p.key != key {
		rows, err := of()
		if err != nil {
			return nil, err
		}
		p.key, p.rows = key, rows
	}
	return p.rows, nil
}

// fieldSheet is the sheet to print for the planned round, or the usual one.
func (d *desk) fieldSheet(sys *duct.System, usual bool) ([]byte, error) {
	ctx, rows := d.r.Context(), sheet.UsualRound(sys)
	if !usual {
		var err error
		if rows, err = d.plannedRound(sys); err != nil {
			return nil, err
		}
	}
	expected, err := plan.Values(ctx, sys, systemName, rows)
	if err != nil {
		return nil, err
	}
	return written(func(w io.Writer) error { return sheet.HTML(w, sheet.New(sys, rows, expected), sys.Units) })
}

// compared is the shop before and after some changes.
func compared(ctx context.Context, sys *duct.System, sets []string, open []readings.Open) (*changed.WhatIf, error) {
	x, err := whatif.Compare(ctx, sys, sets, open)
	if err != nil {
		return nil, err
	}
	return changed.From(x, sys.Units), nil
}

// followed is the shop over its surveys.
func (d *desk) followed(sys *duct.System, names []string) (*tracked.Tracked, []telling, error) {
	var all []*readings.Survey
	var left []telling
	for _, n := range names {
		v, list := d.survey(n, sys.Units)
		if err := list.Err(); err != nil {
			left = append(left, telling{Place: n, What: "is left out: it has something to put right", Do: "see it under Answer"})
			continue
		}
		if _, ok := readings.DateOf(v); !ok {
			left = append(left, telling{Place: n, What: "is left out: its readings have no date"})
			continue
		}
		if diagnose.Fits(sys, v).Err() != nil {
			left = append(left, telling{Place: n, What: "is left out: it names what the shop has not"})
			continue
		}
		all = append(all, v)
	}
	if len(all) < 2 {
		return nil, left, nil
	}
	repairs, _, err := d.repairs() // the page tells what is wrong with the log
	if err != nil {
		return nil, left, err
	}
	t, err := track.Follow(d.r.Context(), sys, all, track.Options{Repairs: repairs})
	if err != nil {
		return nil, left, err
	}
	return tracked.From(t, sys.Units), left, nil
}

func trackPage(t *tracked.Tracked) ([]byte, error) {
	return written(func(w io.Writer) error { return tracked.HTML(w, t) })
}

// whatIfKeys are the keys of what can be changed for a try, with what each is.
func whatIfKeys(sys *duct.System) (keys, what []string) { return whatif.KeysOf(sys) }

// movedWords says what has moved over the surveys.
func movedWords(t *tracked.Tracked) []string {
	var out []string
	for _, s := range t.Signals {
		out = append(out, s.Text)
	}
	return out
}

// storyOf says what broke and what was mended, oldest first.
func storyOf(t *tracked.Tracked) []string {
	var out []string
	for _, e := range t.Episodes {
		out = append(out, e.Text)
	}
	return out
}

// comparison is the shop before and after changes, in the reader's units.
type comparison = changed.WhatIf

// trackedShop is the shop over its surveys, in the reader's units.
type trackedShop = tracked.Tracked

// helped compares a survey before a repair with one after it, as a page.
func (d *desk) helped(sys *duct.System, before, after string) ([]byte, error) {
	a, list := d.survey(before, sys.Units)
	if err := list.Err(); err != nil {
		return nil, err
	}
	b, list := d.survey(after, sys.Units)
	if err := list.Err(); err != nil {
		return nil, err
	}
	x, err := repair.Compare(d.r.Context(), sys, a, b, repair.Options{})
	if err != nil {
		return nil, err
	}
	return written(func(w io.Writer) error { return repaired.HTML(w, repaired.From(x, sys.Units)) })
}
