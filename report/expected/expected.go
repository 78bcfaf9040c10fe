// Package expected shows what a sound system should read.
package expected

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"lostair/diagnose/duct"
	"lostair/diagnose/expect"
	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/layout"
	"lostair/report/show"
)

// Expected is what a sound system should show in some gate configurations, in
// the reader's units.
type Expected struct {
	Version  int           `json:"version"`           // see Version
	System   report.System `json:"system"`            // what was computed
	Guesses  []string      `json:"guesses,omitempty"` // how wide a part of the collector is known that is a guess; absent if none is
	Settings []Setting     `json:"settings"`          // one a gate configuration, in the order asked for
	Kept     string        `json:"kept,omitempty"`    // what lostair show makes it from again, packed by package kept; for this program alone
}

// Setting is one gate configuration.
type Setting struct {
	Open   string           `json:"open"`            // gates open: ids joined with "+", "all" or "none"
	Flow   report.Amount    `json:"flow"`            // through the fan
	Range  *report.Interval `json:"range,omitempty"` // of that, nine in ten; absent if no part of the collector is a guess
	Points []Point          `json:"points"`          // ports, taps, then the collector's points
}

// Point is one place and what can be read there.
type Point struct {
	Point  string           `json:"point"`
	Duct   string           `json:"duct,omitempty"`  // that it is at; absent in the collector
	Port   bool             `json:"port,omitempty"`  // whether it is a port's mouth; absent if not
	Shut   bool             `json:"shut,omitempty"`  // of a port: a gate on its way is shut; absent if not
	Need   *report.Amount   `json:"need,omitempty"`  // of a port; absent if the system file doesn't say
	Range  *report.Interval `json:"range,omitempty"` // of an open port's flow, nine in ten; absent if no part of the collector is a guess
	Values []PointReading   `json:"values"`
}

// PointReading is what one quantity should be.
type PointReading struct {
	Quantity string `json:"quantity"`
	report.Amount
}

// From puts expectations into the reader's units.
func From(sys *duct.System, all []*expect.Expected, u units.System) *Expected {
	out := &Expected{Version: report.Version, System: report.System{Name: sys.Name, File: sys.File, Units: u.String()}, Guesses: guesses(sys, u)}
	for _, e := range all {
		s := Setting{Open: e.Open.String(), Flow: report.AmountOf(e.Flow, units.Flow, u), Range: ranged(e.Range, u)}
		for _, p := range e.Points {
			s.Points = append(s.Points, point(p, u))
		}
		out.Settings = append(out.Settings, s)
	}
	return out
}

func point(p expect.Point, u units.System) Point {
	out := Point{Point: p.Point, Duct: p.Duct, Port: p.Port, Shut: p.Shut, Range: ranged(p.Range, u)}
	if p.Need > 0 {
		need := report.AmountOf(p.Need, units.Flow, u)
		out.Need = &need
	}
	for _, v := range p.Values {
		out.Values = append(out.Values, PointReading{v.Quantity.String(), amount(v, u)})
	}
	return out
}

func guesses(sys *duct.System, u units.System) (out []string) {
	if fan := report.GuessedFan(sys, u); fan != "" {
		out = append(out, fan)
	}
	return append(out, report.GuessedDrops(sys, u)...)
}

func ranged(x *fault.Interval, u units.System) *report.Interval {
	if x == nil {
		return nil
	}
	return report.IntervalOf(*x, units.Flow, u)
}

// amount is a value in the reader's units; a barometer's are its own.
func amount(v expect.Value, u units.System) report.Amount {
	if v.Quantity != units.Barometer {
		return report.AmountOf(v.Value, v.Quantity.Dimension(), u)
	}
	unit := v.Quantity.Symbol(u)
	x, err := units.Convert(v.Value, units.Pressure, unit)
	if err != nil {
		return report.AmountOf(v.Value, units.Pressure, u)
	}
	return report.Amount{Value: show.Significant(x), Unit: unit}
}

// JSON writes e as one indented object.
func JSON(w io.Writer, e *Expected) error { return show.Encode(w, e) }

// CSV writes expectations as a readings file, a row for everything that
// can be read.
func CSV(w io.Writer, all []*expect.Expected, u units.System) error {
	var rows []readings.Row
	for _, e := range all {
		for _, p := range e.Points {
			for _, v := range p.Values {
				a := amount(v, u)
				rows = append(rows, readings.Row{Open: e.Open, Point: p.Point, Quantity: v.Quantity,
					Typed: strconv.FormatFloat(a.Value, 'f', -1, 64), Unit: a.Unit, Note: "expected"})
			}
		}
	}
	return readings.Write(w, rows, u)
}

// Text writes a table for each gate configuration.
func Text(w io.Writer, e *Expected, s show.Style) error {
	p := show.NewPage(s)
	name := e.System.Name
	if name == "" {
		name = e.System.File
	}
	p.Para("", name, show.Bold)
	p.Para("", "What a sound system should show, by the system file.", show.PlainText)
	switch n := len(e.Guesses); {
	case n == 1:
		p.Para("", "These numbers rest on a guess: "+e.Guesses[0]+".", show.Doubtful)
	case n > 1:
		p.Para("", "These numbers rest on guesses:", show.Doubtful)
		for _, guess := range e.Guesses {
			p.Para("* ", show.Title(guess)+".", show.Doubtful)
		}
	}
	needs(p, e)
	for _, x := range e.Settings {
		through := show.WithUnit(x.Flow.Value, x.Flow.Unit)
		if x.Range != nil {
			through = fmt.Sprintf("perhaps %s (%s)", through, x.Range.Span())
		}
		p.Heading(show.Title(show.Gates(x.Open)) + ": " + through + " through the fan")
		setting(p, x, s.All)
	}
	if len(e.Settings) > 0 {
		legend(p, e.Settings[0])
	}
	return p.Write(w)
}

// setting shows what is usually read: static pressure, velocity and flow.
func setting(p *show.Page, x Setting, all bool) {
	t := layout.Table{Columns: []layout.Column{{Head: "point", Least: 15}, {Head: "duct", Least: 8},
		{Head: "static pressure", Right: true}, {Head: "velocity", Right: true}, {Head: "flow", Right: true}, {Head: "need", Right: true}, {}}}
	var shut []string
	for _, q := range x.Points {
		if q.Shut && !all {
			shut = append(shut, q.Point)
		} else if !q.apart() {
			t.Rows = append(t.Rows, x.row(q))
		}
	}
	p.Table("", t, nil)
	if len(shut) > 0 {
		p.Para("", "Shut: "+show.Few(shut)+".", show.PlainText)
	}
	if leaks := x.leaks(); leaks != "" {
		p.Para("", leaks, show.PlainText)
	}
	for _, q := range x.Points {
		if q.apart() && q.Point != readings.Room {
			p.Para("", q.sentence(), show.PlainText)
		}
	}
}

// leaks says why the ports' flows don't add up to the fan's; "" if they do.
func (x Setting) leaks() string {
	rest := x.Flow.Value
	for _, q := range x.Points {
		if flow, ok := q.value(units.FlowRate); ok && q.Port && !q.Shut {
			rest -= flow.Value
		}
	}
	if rest < x.Flow.Value*finest {
		return ""
	}
	return fmt.Sprintf("%s leaks in at shut gates and joints (assumed).", show.WithUnit(x.rounded(units.FlowRate, rest), x.Flow.Unit))
}

// legend says what holds of all settings.
func legend(p *show.Page, x Setting) {
	for _, q := range x.Points {
		if q.Point == readings.Room {
			p.Para("", q.sentence(), show.PlainText)
		}
	}
	p.Para("", "Static pressure in "+x.unitOf(units.StaticPressure)+", velocity in "+x.unitOf(units.MeanVelocity)+", flow in "+x.Flow.Unit+". Velocity and total pressure, and velocity in the middle, are in --format csv.", show.PlainText)
}

// apart is whether a point stands below the table: it has no pressure or flow of its own.
func (q Point) apart() bool {
	return q.Point == readings.Filter || q.Point == readings.FanPoint || q.Point == readings.Room
}

// sentence says what such a point should read.
func (q Point) sentence() string {
	var all []string
	if q.Point == readings.Room {
		all = append(all, "by the system file")
	}
	for _, v := range q.Values {
		all = append(all, show.Quantity(v.Quantity)+" "+show.WithUnit(v.Value, v.Unit))
	}
	out := fmt.Sprintf("At the %s: %s.", q.Point, strings.Join(all, ", "))
	if _, ok := q.value(units.MotorPower); ok {
		out += " Power and current are guessed from the motor's size: the power may be out by a third, the current by more, since the file doesn't know the supply voltage."
	}
	return out
}

// row is one point. Of a port behind a shut gate the little that seeps is left
// out.
func (x Setting) row(q Point) []string {
	flow, ok := q.value(units.FlowRate)
	if q.Shut {
		return []string{q.Point, q.Duct, "-", "-", "-", "", "shut"}
	}
	need, note := "", ""
	if q.Need != nil {
		need = show.Shown(q.Need.Value)
		if ok {
			note = verdictMarks[q.verdict(flow.Value)]
		}
	}
	return []string{q.Point, q.Duct, x.show(q, units.StaticPressure), x.show(q, units.MeanVelocity), x.show(q, units.FlowRate), need, note}
}

func (q Point) value(want units.Quantity) (report.Amount, bool) {
	for _, v := range q.Values {
		if v.Quantity == want.String() {
			return v.Amount, true
		}
	}
	return report.Amount{}, false
}

func (x Setting) show(q Point, want units.Quantity) string {
	v, ok := q.value(want)
	if !ok {
		return ""
	}
	return show.Shown(x.rounded(want, v.Value))
}

// finest is the step of a column, as a share of its largest value. Own choice.
const finest = 1e-3

// rounded keeps a value from being finer than the largest of its quantity in this
// setting is.
func (x Setting) rounded(want units.Quantity, v float64) float64 {
	most := 0.0
	for _, q := range x.Points {
		if a, ok := q.value(want); ok {
			most = max(most, math.Abs(a.Value))
		}
	}
	if most == 0 {
		return v
	}
	places := -math.Floor(math.Log10(most * finest))
	if places < 0 {
		return v
	}
	r := math.Round(v*math.Pow(10, places)) / math.Pow(10, places)
	if r == 0 {
		return 0 // and no minus
	}
	return r
}

func (x Setting) unitOf(want units.Quantity) string {
	for _, q := range x.Points {
		if v, ok := q.value(want); ok {
			return v.Unit
		}
	}
	return ""
}
