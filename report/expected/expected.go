// Package expected shows what a sound system should read.
package expected

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"lostair/diagnose/duct"
	"lostair/diagnose/expect"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/layout"
	"lostair/report/show"
)

// Expected is what a sound system should show in some gate configurations, in
// the reader's units.
type Expected struct {
	Version  int           `json:"version"`        // see Version
	System   report.System `json:"system"`         // what was computed
	Settings []Setting     `json:"settings"`       // one a gate configuration, in the order asked for
	Kept     string        `json:"kept,omitempty"` // what lostair show makes it from again, packed by package kept; for this program alone
}

// Setting is one gate configuration.
type Setting struct {
	Open   string        `json:"open"`   // gates open: ids joined with "+", "all" or "none"
	Flow   report.Amount `json:"flow"`   // through the fan
	Points []Point       `json:"points"` // ports, taps, then the collector's points
}

// Point is one place and what can be read there.
type Point struct {
	Point  string         `json:"point"`
	Duct   string         `json:"duct,omitempty"` // that it is at; absent in the collector
	Port   bool           `json:"port,omitempty"` // whether it is a port's mouth; absent if not
	Shut   bool           `json:"shut,omitempty"` // of a port: a gate on its way is shut; absent if not
	Need   *report.Amount `json:"need,omitempty"` // of a port; absent if the system file doesn't say
	Values []PointReading `json:"values"`
}

// PointReading is what one quantity should be.
type PointReading struct {
	Quantity string `json:"quantity"`
	report.Amount
}

// From puts expectations into the reader's units.
func From(sys *duct.System, all []*expect.Expected, u units.System) *Expected {
	out := &Expected{Version: report.Version, System: report.System{Name: sys.Name, File: sys.File, Units: u.String()}}
	for _, e := range all {
		s := Setting{Open: e.Open.String(), Flow: report.AmountOf(e.Flow, units.Flow, u)}
		for _, p := range e.Points {
			s.Points = append(s.Points, point(p, u))
		}
		out.Settings = append(out.Settings, s)
	}
	return out
}

func point(p expect.Point, u units.System) Point {
	out := Point{Point: p.Point, Duct: p.Duct, Port: p.Port, Shut: p.Shut}
	if p.Need > 0 {
		need := report.AmountOf(p.Need, units.Flow, u)
		out.Need = &need
	}
	for _, v := range p.Values {
		out.Values = append(out.Values, PointReading{v.Quantity.String(), amount(v, u)})
	}
	return out
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
	for _, x := range e.Settings {
		p.Heading(show.Title(show.Gates(x.Open)) + fmt.Sprintf(": %s through the fan", show.WithUnit(x.Flow.Value, x.Flow.Unit)))
		setting(p, x)
	}
	return p.Write(w)
}

// setting shows what is usually read: static pressure, velocity and flow.
func setting(p *show.Page, x Setting) {
	t := layout.Table{Columns: []layout.Column{{Head: "point", Least: 15}, {Head: "duct", Least: 8},
		{Head: "static pressure", Right: true}, {Head: "velocity", Right: true}, {Head: "flow", Right: true}, {Head: "need", Right: true}, {}}}
	for _, q := range x.Points {
		if !q.apart() {
			t.Rows = append(t.Rows, x.row(q))
		}
	}
	p.Table("", t, nil)
	for _, q := range x.Points {
		if q.apart() {
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
		out += " Power and current are guessed from the motor's size: the power may be out by a third, the current by more, since the file doesn't know the mains."
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
		if ok && flow.Value < q.Need.Value {
			note = "short"
		}
	}
	return []string{q.Point, q.Duct, q.show(units.StaticPressure), q.show(units.MeanVelocity), q.show(units.FlowRate), need, note}
}

func (q Point) value(want units.Quantity) (report.Amount, bool) {
	for _, v := range q.Values {
		if v.Quantity == want.String() {
			return v.Amount, true
		}
	}
	return report.Amount{}, false
}

func (q Point) show(want units.Quantity) string {
	v, ok := q.value(want)
	if !ok {
		return ""
	}
	return show.Shown(v.Value)
}

func (x Setting) unitOf(want units.Quantity) string {
	for _, q := range x.Points {
		if v, ok := q.value(want); ok {
			return v.Unit
		}
	}
	return ""
}
