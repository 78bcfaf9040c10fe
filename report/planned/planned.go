// Package planned shows a round of readings that was chosen.
package planned

import (
	"fmt"
	"io"
	"math"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/plan"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/layout"
	"lostair/report/show"
	"lostair/report/text"
)

// Plan is a round of readings in the reader's units.
type Plan struct {
	Version int            `json:"version"` // see Version
	System  report.System  `json:"system"`
	Minutes float64        `json:"minutes"` // that the round takes
	Stops   []Stop         `json:"stops"`   // in the order to go
	Shows   []report.Shown `json:"shows"`   // the smallest fault of each kind that the round shows

	Unfinished bool     `json:"unfinished,omitempty"` // the work was stopped before its end: the readings chosen by then
	Cautions   []string `json:"cautions"`             // what to mind on the way
	Kept       string   `json:"kept,omitempty"`       // what lostair show makes it from again, packed by package kept; for this program alone
}

// Stop is one reading to take.
type Stop struct {
	Open     string        `json:"open"` // gates to open, all others shut
	Point    string        `json:"point"`
	Quantity string        `json:"quantity"`
	Fast     bool          `json:"fast,omitempty"` // more than most hand-held vanes read
	Wide     bool          `json:"wide,omitempty"` // the range is so wide that it says little
	Expected show.Interval `json:"expected"`       // of a sound system, with the range (9 in 10) in which no one need worry
	Minutes  float64       `json:"minutes"`
}

// From puts a round into the reader's units.
func From(r *plan.Round, u units.System) *Plan {
	out := &Plan{Version: report.Version, System: report.System{Name: r.System.Name, File: r.System.File, Units: u.String()}, Minutes: math.Ceil(r.Minutes), Unfinished: r.Unfinished, Stops: []Stop{}, Cautions: append(show.Usual(), show.NoProof)}
	for _, s := range r.Stops {
		x := Stop{Open: s.Open.String(), Point: s.Point, Quantity: s.Quantity.String(), Minutes: s.Minutes, Fast: diagnose.TooFast(s.Quantity, s.Expected.Value), Wide: report.SaysLittle(r.System, s.Quantity, s.Expected)}
		if iv := show.IntervalOf(s.Expected, s.Quantity.Dimension(), u); iv != nil {
			x.Expected = *iv
		}
		out.Stops = append(out.Stops, x)
	}
	out.Shows = report.ShownOf(r.Shows, u)
	return out
}

// JSON writes p as one indented object.
func JSON(w io.Writer, p *Plan) error { return show.Encode(w, p) }

// CSV writes the round as a readings file with all but the values.
func CSV(w io.Writer, r *plan.Round, u units.System) error {
	rows := Rows(r)
	for i := range rows {
		rows[i].Unit = rows[i].Quantity.Symbol(u)
		if diagnose.TooFast(rows[i].Quantity, r.Stops[i].Expected.Value) {
			rows[i].Note = show.FastNote
		}
	}
	return readings.Write(w, rows, u)
}

// Rows is a round as rows of a readings file without their values, each
// with the instrument of the system file that it is read with.
func Rows(r *plan.Round) []readings.Row {
	var rows []readings.Row
	for _, s := range r.Stops {
		d := s.Quantity.Dimension()
		if d == units.Flow {
			d = units.Velocity
		}
		rows = append(rows, readings.Row{Open: s.Open, Point: s.Point, Quantity: s.Quantity, Value: math.NaN(), Instrument: report.InstrumentFor(r.System, d)})
	}
	return rows
}

// Text writes the round for a person.
func Text(w io.Writer, x *Plan, s show.Style) error {
	p := show.NewPage(s)
	name := x.System.Name
	if name == "" {
		name = x.System.File
	}
	p.Para("", name, show.Bold)
	if x.Unfinished {
		p.Para("", "Stopped before the work was finished: these are the readings chosen so far.", show.Doubtful)
	}
	p.Para("", fmt.Sprintf("A round of %s, about %.0f minutes. Shut every gate that is not named.", show.Plural(len(x.Stops), "reading"), x.Minutes), show.PlainText)
	p.Heading("What to read, in this order")
	t := layout.Table{Columns: []layout.Column{{Head: "gates open", Least: 10}, {Head: "point", Least: 10}, {Head: "quantity"},
		{Head: "sound", Right: true}, {Head: "no worry", Right: true}, {}, {}}}
	last, fast, wide := "\x00", false, false
	for _, st := range x.Stops {
		open := st.Open
		if open == last {
			open = ""
		}
		last = st.Open
		e := st.Expected
		t.Rows = append(t.Rows, []string{open, st.Point, show.Quantity(st.Quantity), e.Mid(), noWorry(e), e.Unit, st.mark()})
		fast, wide = fast || st.Fast, wide || st.Wide
	}
	p.Table("", t, nil)
	if fast {
		p.Para("", "fast: "+show.FastWords+".", show.PlainText)
	}
	if wide {
		p.Para("", "wide: "+show.WideWords+".", show.PlainText)
	}
	p.Para("", "sound: what it should read if nothing is wrong. no worry: nine in ten sound systems read within this, since none is built quite as its file says; outside it, read once more.", show.PlainText)
	p.Heading("The smallest fault that this round shows")
	text.Shows(p, x.Shows)
	text.Cautions(p, &report.Result{Cautions: x.Cautions})
	return p.Write(w)
}

// mark is what is said of a reading beside it.
func (s Stop) mark() string {
	out := show.FastMark(s.Fast)
	if s.Wide {
		out = strings.TrimSpace(out + " wide")
	}
	return out
}

// noWorry is the range of an interval, the smaller suction first.
func noWorry(iv show.Interval) string {
	if math.Abs(iv.Low) > math.Abs(iv.High) {
		iv.Low, iv.High = iv.High, iv.Low
	}
	return iv.Span()
}
