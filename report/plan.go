package report

import (
	"fmt"
	"io"
	"math"

	"lostair/diagnose"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/layout"
)

// Plan is a round of readings in the reader's units.
type Plan struct {
	Version int     `json:"version"` // see Version
	System  System  `json:"system"`
	Minutes float64 `json:"minutes"` // that the round takes
	Stops   []Stop  `json:"stops"`   // in the order to go
	Shows   []Shown `json:"shows"`   // the smallest fault of each kind that the round shows

	Cautions []string `json:"cautions"` // what to mind on the way
}

// Stop is one reading to take.
type Stop struct {
	Open     string   `json:"open"` // gates to open, all others shut
	Point    string   `json:"point"`
	Quantity string   `json:"quantity"`
	Fast     bool     `json:"fast,omitempty"` // more than most hand-held vanes read
	Expected Interval `json:"expected"`       // of a sound system, with the range (9 in 10) in which no one need worry
	Minutes  float64  `json:"minutes"`
}

// Shown is the smallest fault of one kind that the round shows.
type Shown struct {
	Kind   string  `json:"kind"`
	Best   *Amount `json:"best,omitempty"`    // where it shows best; absent: nowhere
	BestAt string  `json:"best_at,omitempty"` // that place
	Usual  *Amount `json:"usual,omitempty"`   // at the middle one of the places; absent: at most places it does not show
	Blind  int     `json:"blind"`             // places where the round shows nothing of this kind
	Places int     `json:"places"`
}

// FromRound puts a round into the reader's units.
func FromRound(r *diagnose.Round, u units.System) *Plan {
	out := &Plan{Version: Version, System: System{Name: r.System.Name, File: r.System.File, Units: u.String()}, Minutes: math.Ceil(r.Minutes), Cautions: append(usual(), noProof)}
	for _, s := range r.Stops {
		x := Stop{Open: s.Open.String(), Point: s.Point, Quantity: s.Quantity.String(), Minutes: s.Minutes, Fast: diagnose.TooFast(s.Quantity, s.Expected.Value)}
		if iv := interval(possible(s.Expected, s.Quantity), s.Quantity.Dimension(), u); iv != nil {
			x.Expected = *iv
		}
		out.Stops = append(out.Stops, x)
	}
	out.Shows = shownOf(r.Shows, u)
	return out
}

// shownOf puts the smallest faults that show into the reader's units.
func shownOf(all []diagnose.Shown, u units.System) []Shown {
	var out []Shown
	for _, s := range all {
		x := Shown{Kind: s.Kind.String(), BestAt: s.BestAt, Blind: s.Blind, Places: s.Places}
		if s.BestAt != "" {
			a := amount(s.Best, s.Kind.Dimension(), u)
			x.Best = &a
		}
		if s.Usual != 0 {
			a := amount(s.Usual, s.Kind.Dimension(), u)
			x.Usual = &a
		}
		out = append(out, x)
	}
	return out
}

// PlanJSON writes p as one indented object.
func PlanJSON(w io.Writer, p *Plan) error { return encode(w, p) }

// PlanCSV writes the round as a readings file with all but the values.
func PlanCSV(w io.Writer, r *diagnose.Round, u units.System) error {
	rows := PlanRows(r)
	for i := range rows {
		rows[i].Unit = rows[i].Quantity.Dimension().Symbol(u)
		if diagnose.TooFast(rows[i].Quantity, r.Stops[i].Expected.Value) {
			rows[i].Note = fastNote
		}
	}
	return readings.Write(w, rows, u)
}

// PlanRows is a round as rows of a readings file without their values, each
// with the instrument of the system file that it is read with.
func PlanRows(r *diagnose.Round) []readings.Row {
	var rows []readings.Row
	for _, s := range r.Stops {
		d := s.Quantity.Dimension()
		if d == units.Flow {
			d = units.Velocity
		}
		rows = append(rows, readings.Row{Open: s.Open, Point: s.Point, Quantity: s.Quantity, Value: math.NaN(), Instrument: instrumentFor(r.System, d)})
	}
	return rows
}

// PlanText writes the round for a person.
func PlanText(w io.Writer, x *Plan, s Style) error {
	p := newPage(s)
	name := x.System.Name
	if name == "" {
		name = x.System.File
	}
	p.para("", name, bold)
	p.para("", fmt.Sprintf("A round of %s, about %.0f minutes. Shut every gate that is not named.", plural(len(x.Stops), "reading"), x.Minutes), plainText)
	p.heading("What to read, in this order")
	t := layout.Table{Columns: []layout.Column{{Head: "gates open", Least: 10}, {Head: "point", Least: 10}, {Head: "quantity"},
		{Head: "sound", Right: true}, {Head: "no worry", Right: true}, {}, {}}}
	last, fast := "\x00", false
	for _, st := range x.Stops {
		open := st.Open
		if open == last {
			open = ""
		}
		last = st.Open
		e := st.Expected
		t.Rows = append(t.Rows, []string{open, st.Point, quantity(st.Quantity), e.mid(), e.noWorry(), e.Unit, fastMark(st.Fast)})
		fast = fast || st.Fast
	}
	p.table("", t, nil)
	if fast {
		p.para("", "fast: "+fastWords+".", plainText)
	}
	p.para("", "sound: what it should read if nothing is wrong. no worry: nine in ten sound systems read within this, since none is built quite as its file says; outside it, read once more.", plainText)
	p.heading("The smallest fault that this round shows")
	p.shows(x.Shows)
	p.cautions(&Result{Cautions: x.Cautions})
	return p.writeTo(w)
}

// fastWords say what to do where air is too fast for a vane.
const fastWords = "more than most hand-held vanes read: look at the range of yours; above it read velocity_pressure with a pitot tube, and write that as the quantity and its gauge as the instrument"

// fastNote is the same, short, in the column note.
const fastNote = "too fast for most vanes: if for yours, velocity_pressure with a pitot tube"

func fastMark(fast bool) string {
	if fast {
		return "fast"
	}
	return ""
}

// shows is a table of the smallest faults that show.
func (p *page) shows(list []Shown) {
	b := layout.Table{Columns: []layout.Column{{Head: "fault"}, {Head: "at best"}, {Head: "at most places"}, {Head: "not seen at"}}}
	for _, sh := range list {
		b.Rows = append(b.Rows, sh.cells())
	}
	p.table("", b, nil)
	p.para("", showsNote, plainText)
}

const showsNote = "A fault counts as shown if it moves the readings by three standard deviations of what instruments and the as-built system leave open."

// hides says of a system that looks sound what may hide in it.
func (p *page) hides(r *Result) {
	if len(r.Shows) == 0 {
		return
	}
	p.heading("What could still hide")
	p.para("", "Faults milder than these:", plainText)
	p.shows(r.Shows)
}

// noWorry is the range of an interval, the smaller suction first.
func (iv Interval) noWorry() string {
	if math.Abs(iv.Low) > math.Abs(iv.High) {
		iv.Low, iv.High = iv.High, iv.Low
	}
	return iv.span()
}

// size is a severity with a word that says what it is a share of.
func (s Shown) size(a *Amount) string {
	t := withUnit(twoFigures(a.Value), a.Unit)
	switch s.Kind {
	case diagnose.Blockage.String():
		t += " closed"
	case diagnose.GateRestricted.String():
		t += " open"
	case diagnose.FanWeak.String():
		t += " speed"
	}
	return t
}

// Cells are the columns of the table of what shows.
func (s Shown) Cells() []string { return s.cells() }

func (s Shown) cells() []string {
	best, usual, blind := "-", "-", "-"
	if s.Best != nil {
		best = s.size(s.Best)
	}
	if s.Usual != nil {
		usual = s.size(s.Usual)
	}
	if s.Blind > 0 {
		blind = fmt.Sprintf("%d of %s", s.Blind, plural(s.Places, "place"))
	}
	return []string{kindShort(s.Kind), best, usual, blind}
}
