package main

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
	"lostair/report/tracked"
	"lostair/report/verified"
)

// view is how a result is shown.
type view struct {
	format string // "text", "html" or "json"; another is an error
	units  units.System
	style  show.Style // of text
}

// subject is a kind of result: D as it was computed, in SI, and R as it is said.
type subject[D, R any] struct {
	from  func(*D, units.System) *R
	kept  func(*R) *string // where R carries D along
	text  func(io.Writer, *R, show.Style) error
	json  func(io.Writer, *R) error
	page  func(io.Writer, *D, units.System) error // made from D; or
	plain func(io.Writer, *R) error               // from R; or
	title func(*R) string                         // of a page that is its text
}

var diagnosed = subject[diagnose.Result, report.Result]{
	from: report.From,
	kept: func(r *report.Result) *string { return &r.Kept },
	text: report.Text,
	json: report.JSON,
	page: html.Write,
}

var checked = subject[verify.Report, verified.Verification]{
	from: verified.From,
	kept: func(r *verified.Verification) *string { return &r.Kept },
	text: verified.Text,
	json: verified.JSON,
	page: verified.HTML,
}

var followed = subject[track.History, tracked.Tracked]{
	from:  tracked.From,
	kept:  func(r *tracked.Tracked) *string { return &r.Kept },
	text:  tracked.Text,
	json:  tracked.JSON,
	plain: tracked.HTML,
}

var compared = subject[repair.Repair, repaired.Repair]{
	from:  repaired.From,
	kept:  func(r *repaired.Repair) *string { return &r.Kept },
	text:  repaired.Text,
	json:  repaired.JSON,
	plain: repaired.HTML,
}

var altered = subject[whatif.Comparison, changed.WhatIf]{
	from:  changed.From,
	kept:  func(r *changed.WhatIf) *string { return &r.Kept },
	text:  changed.Text,
	json:  changed.JSON,
	title: func(r *changed.WhatIf) string { return report.NameOf(r.System) + ": before and after a change" },
}

var rounds = subject[plan.Round, planned.Plan]{
	from:  planned.From,
	kept:  func(r *planned.Plan) *string { return &r.Kept },
	text:  planned.Text,
	json:  planned.JSON,
	title: func(r *planned.Plan) string { return report.NameOf(r.System) + ": readings to take" },
}

// foretold is what a system should read in some settings of its gates.
type foretold struct {
	System   *duct.System
	Settings []*expect.Expected
}

var foreseen = subject[foretold, expected.Expected]{
	from: func(d *foretold, u units.System) *expected.Expected {
		return expected.From(d.System, d.Settings, u)
	},
	kept:  func(r *expected.Expected) *string { return &r.Kept },
	text:  expected.Text,
	json:  expected.JSON,
	title: func(r *expected.Expected) string { return report.NameOf(r.System) + ": what it should read" },
}

// show shows a result.
func (s *subject[D, R]) show(w io.Writer, d *D, v view) error {
	packed := ""
	if v.format == "json" {
		p, err := kept.Pack(d)
		if err != nil {
			return err
		}
		packed = p
	}
	return s.said(w, d, s.from(d, v.units), packed, v)
}

// list shows several as one list of JSON.
func (s *subject[D, R]) list(w io.Writer, all []*D, v view) error {
	var out []*R
	for _, d := range all {
		p, err := kept.Pack(d)
		if err != nil {
			return err
		}
		r := s.from(d, v.units)
		*s.kept(r) = p
		out = append(out, r)
	}
	return show.Encode(w, out)
}

// said shows r, which was made from d. A format that it does not know is a mistake of
// the program: a command that takes one more writes it before it comes here.
func (s *subject[D, R]) said(w io.Writer, d *D, r *R, packed string, v view) error {
	switch {
	case v.format == "json":
		*s.kept(r) = packed
		return s.json(w, r)
	case v.format == "text":
		return s.text(w, r, v.style)
	case v.format != "html":
		return fmt.Errorf("no %q is written of this result: a mistake in lostair", v.format)
	case s.page != nil && d == nil: // of what was saved without it
		return errNoPage
	case s.page != nil:
		return s.page(w, d, v.units)
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
func (s *subject[D, R]) again(w io.Writer, data []byte, unitsGiven string, v view) (err error) {
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
	if v.units, err = command.UnitsOf(unitsGiven, was); err != nil {
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
		if v.units != was {
			return errNoUnits
		}
		return s.said(w, nil, r, "", v)
	}
	d := new(D)
	if kept.Unpack(packed, d) != nil {
		return errDamaged
	}
	return s.said(w, d, s.from(d, v.units), packed, v)
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
