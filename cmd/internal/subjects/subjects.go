package subjects

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"lostair/cmd/internal/command"
	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/expect"
	"lostair/diagnose/plan"
	"lostair/diagnose/repair"
	"lostair/diagnose/track"
	"lostair/diagnose/verify"
	"lostair/diagnose/whatif"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/changed"
	"lostair/report/expected"
	"lostair/report/html"
	"lostair/report/kept"
	"lostair/report/pages"
	"lostair/report/planned"
	"lostair/report/repaired"
	"lostair/report/show"
	"lostair/report/text"
	"lostair/report/tracked"
	"lostair/report/verified"
)

// View is how a result is shown.
type View struct {
	Format string // "text", "html" or "json"; another is an error
	Units  units.System
	Style  show.Style // of text
}

// Subject is a kind of result: D as it was computed, in SI, and R as it is said.
type Subject[D, R any] struct {
	from  func(*D, units.System) *R
	kept  func(*R) *string // where R carries D along
	text  func(io.Writer, *R, show.Style) error
	json  func(io.Writer, *R) error
	page  func(io.Writer, *D, units.System) error // made from D; or
	plain func(io.Writer, *R) error               // from R; or
	title func(*R) string                         // of a page that is its text
}

// Diagnosed is a diagnosis.
var Diagnosed = Subject[diagnose.Result, report.Result]{
	from: report.From,
	kept: func(r *report.Result) *string { return &r.Kept },
	text: text.Write,
	json: report.JSON,
	page: html.Write,
}

// Checked is an install held against its design.
var Checked = Subject[verify.Report, verified.Verification]{
	from: verified.From,
	kept: func(r *verified.Verification) *string { return &r.Kept },
	text: verified.Text,
	json: verified.JSON,
	page: verified.HTML,
}

// Followed is a system over its surveys.
var Followed = Subject[track.History, tracked.Tracked]{
	from:  tracked.From,
	kept:  func(r *tracked.Tracked) *string { return &r.Kept },
	text:  tracked.Text,
	json:  tracked.JSON,
	plain: tracked.HTML,
}

// Compared is a system before and after a repair.
var Compared = Subject[repair.Repair, repaired.Repair]{
	from:  repaired.From,
	kept:  func(r *repaired.Repair) *string { return &r.Kept },
	text:  repaired.Text,
	json:  repaired.JSON,
	plain: repaired.HTML,
}

// Altered is a system before and after a change.
var Altered = Subject[whatif.Comparison, changed.WhatIf]{
	from:  changed.From,
	kept:  func(r *changed.WhatIf) *string { return &r.Kept },
	text:  changed.Text,
	json:  changed.JSON,
	title: func(r *changed.WhatIf) string { return report.NameOf(r.System) + ": before and after a change" },
}

// Rounds are the readings to take.
var Rounds = Subject[plan.Round, planned.Plan]{
	from:  planned.From,
	kept:  func(r *planned.Plan) *string { return &r.Kept },
	text:  planned.Text,
	json:  planned.JSON,
	title: func(r *planned.Plan) string { return report.NameOf(r.System) + ": readings to take" },
}

// Foretold is what a system should read in some settings of its gates.
type Foretold struct {
	System   *duct.System
	Settings []*expect.Expected
}

// Foreseen is what a system should read.
var Foreseen = Subject[Foretold, expected.Expected]{
	from: func(d *Foretold, u units.System) *expected.Expected {
		return expected.From(d.System, d.Settings, u)
	},
	kept:  func(r *expected.Expected) *string { return &r.Kept },
	text:  expected.Text,
	json:  expected.JSON,
	title: func(r *expected.Expected) string { return report.NameOf(r.System) + ": what it should read" },
}

// Show shows a result.
func (s *Subject[D, R]) Show(w io.Writer, d *D, v View) error {
	packed := ""
	if v.Format == "json" {
		p, err := kept.Pack(d)
		if err != nil {
			return err
		}
		packed = p
	}
	return s.said(w, d, s.from(d, v.Units), packed, v)
}

// List shows several as one list of JSON.
func (s *Subject[D, R]) List(w io.Writer, all []*D, v View) error {
	var out []*R
	for _, d := range all {
		p, err := kept.Pack(d)
		if err != nil {
			return err
		}
		r := s.from(d, v.Units)
		*s.kept(r) = p
		out = append(out, r)
	}
	return show.Encode(w, out)
}

// said shows r, which was made from d. A format that it does not know is a mistake of
// the program: a command that takes one more writes it before it comes here.
func (s *Subject[D, R]) said(w io.Writer, d *D, r *R, packed string, v View) error {
	switch {
	case v.Format == "json":
		*s.kept(r) = packed
		return s.json(w, r)
	case v.Format == "text":
		return s.text(w, r, v.Style)
	case v.Format != "html":
		return fmt.Errorf("no %q is written of this result: a mistake in lostair", v.Format)
	case s.page != nil && d == nil: // of what was saved without it
		return errNoPage
	case s.page != nil:
		return s.page(w, d, v.Units)
	case s.plain != nil:
		return s.plain(w, r)
	}
	var b bytes.Buffer
	if err := s.text(&b, r, show.Style{Width: 80, All: true}); err != nil {
		return err
	}
	return pages.Plain(w, s.title(r), b.String())
}

// errNoPage and errNoUnits are the answers where more is needed than an early
// version saved.
var (
	errNoPage  = errors.New("it was saved by an earlier lostair, and a page needs more; save it again")
	errNoUnits = errors.New("it was saved by an earlier lostair, in one system of units; save it again")
)

// again shows a saved result, in the units that it was saved in or in others.
func (s *Subject[D, R]) again(w io.Writer, data []byte, unitsGiven string, v View) (err error) {
	r := new(R)
	if err := json.Unmarshal(data, r); err != nil {
		return plainJSON(err)
	}
	var in struct{ System report.System }
	if err := json.Unmarshal(data, &in); err != nil {
		return plainJSON(err)
	}
	was, err := command.UnitsOf(in.System.Units, units.Metric)
	if err != nil {
		return err
	}
	if v.Units, err = command.UnitsOf(unitsGiven, was); err != nil {
		return err
	}
	packed := *s.kept(r)
	defer func() { // somebody's hand in it can bring out of range whatever is looked up
		if recover() == nil {
			return
		}
		if err = errDamaged; packed == "" {
			err = errIncomplete
		}
	}()
	if packed == "" {
		if v.Units != was {
			return errNoUnits
		}
		return s.said(w, nil, r, "", v)
	}
	d := new(D)
	if kept.Unpack(packed, d) != nil {
		return errDamaged
	}
	return s.said(w, d, s.from(d, v.Units), packed, v)
}

var errIncomplete = errors.New("something is missing in it; save the result again")

var errDamaged = fmt.Errorf("what stands under %q is damaged; without that key it can be shown as text, in the units that it was saved in", "kept")

// plainJSON says what is wrong with JSON without Go's words for it.
func plainJSON(err error) error {
	var other *json.UnmarshalTypeError
	if errors.As(err, &other) {
		where := "it"
		if other.Field != "" {
			where = "its " + other.Field
		}
		return fmt.Errorf("%s holds a value of another kind (%s)", where, other.Value)
	}
	return err
}
