package bench

import (
	"context"
	"io"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/plan"
	"lostair/diagnose/repair"
	"lostair/diagnose/track"
	"lostair/diagnose/whatif"
	"lostair/readings"
	"lostair/report/changed"
	"lostair/report/planned"
	"lostair/report/repaired"
	"lostair/report/sheet"
	"lostair/report/tracked"
)

// This file is what the places of this package ask of packages diagnose and report beside
// the diagnosis of a survey, which desk.Desk has.

// plannedRound is the round of twenty readings that tells most for its time.
func (s *shop) plannedRound(d *desk.Desk, sys *duct.System) ([]readings.Row, error) {
	return s.planned.Of(d, func() ([]readings.Row, error) {
		r, err := plan.Plan(d.Context(), sys, nil, 20)
		if err != nil {
			return nil, err
		}
		return planned.Rows(r), nil
	})
}

// fieldSheet is the sheet to print for the planned round, or the usual one.
func (s *shop) fieldSheet(d *desk.Desk, sys *duct.System, usual bool) ([]byte, error) {
	ctx, rows := d.Context(), sheet.UsualRound(sys)
	if !usual {
		var err error
		if rows, err = s.plannedRound(d, sys); err != nil {
			return nil, err
		}
	}
	expected, err := plan.Values(ctx, sys, desk.SystemName, rows)
	if err != nil {
		return nil, err
	}
	return pages.Written(func(w io.Writer) error { return sheet.HTML(w, sheet.New(sys, rows, expected), sys.Units) })
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
func followed(d *desk.Desk, sys *duct.System, names []string) (*tracked.Tracked, []pages.Telling, error) {
	var all []*readings.Survey
	var left []pages.Telling
	for _, n := range names {
		v, list := d.Survey(n, sys.Units)
		if err := list.Err(); err != nil {
			left = append(left, pages.Telling{Place: n, What: "is left out: it has something to put right", Do: "see it under Answer"})
			continue
		}
		if _, ok := readings.DateOf(v); !ok {
			left = append(left, pages.Telling{Place: n, What: "is left out: its readings have no date"})
			continue
		}
		if diagnose.Fits(sys, v).Err() != nil {
			left = append(left, pages.Telling{Place: n, What: "is left out: it names what the shop has not"})
			continue
		}
		all = append(all, v)
	}
	if len(all) < 2 {
		return nil, left, nil
	}
	repairs, _, err := d.Repairs() // the page tells what is wrong with the log
	if err != nil {
		return nil, left, err
	}
	t, err := track.Follow(d.Context(), sys, all, track.Options{Repairs: repairs})
	if err != nil {
		return nil, left, err
	}
	return tracked.From(t, sys.Units), left, nil
}

func trackPage(t *tracked.Tracked) ([]byte, error) {
	return pages.Written(func(w io.Writer) error { return tracked.HTML(w, t) })
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
func helped(d *desk.Desk, sys *duct.System, before, after string) ([]byte, error) {
	a, list := d.Survey(before, sys.Units)
	if err := list.Err(); err != nil {
		return nil, err
	}
	b, list := d.Survey(after, sys.Units)
	if err := list.Err(); err != nil {
		return nil, err
	}
	x, err := repair.Compare(d.Context(), sys, a, b, repair.Options{})
	if err != nil {
		return nil, err
	}
	return pages.Written(func(w io.Writer) error { return repaired.HTML(w, repaired.From(x, sys.Units)) })
}
