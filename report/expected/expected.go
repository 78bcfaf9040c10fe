// Package expected shows what a sound system should read.
package expected

import (
	"io"
	"strconv"

	"lostair/diagnose/duct"
	"lostair/diagnose/expect"
	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
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
	Open   string         `json:"open"`            // gates open: ids joined with "+", "all" or "none"
	Flow   show.Amount    `json:"flow"`            // through the fan
	Range  *show.Interval `json:"range,omitempty"` // of that, nine in ten; absent if no part of the collector is a guess
	Points []Point        `json:"points"`          // ports, taps, then the collector's points
}

// Point is one place and what can be read there.
type Point struct {
	Point  string         `json:"point"`
	Duct   string         `json:"duct,omitempty"`  // that it is at; absent in the collector
	Port   bool           `json:"port,omitempty"`  // whether it is a port's mouth; absent if not
	Shut   bool           `json:"shut,omitempty"`  // of a port: a gate on its way is shut; absent if not
	Need   *show.Amount   `json:"need,omitempty"`  // of a port; absent if the system file doesn't say
	Range  *show.Interval `json:"range,omitempty"` // of an open port's flow, nine in ten; absent if no part of the collector is a guess
	Values []PointReading `json:"values"`
}

// PointReading is what one quantity should be.
type PointReading struct {
	Quantity string `json:"quantity"`
	show.Amount
}

// From puts expectations into the reader's units.
func From(sys *duct.System, all []*expect.Expected, u units.System) *Expected {
	out := &Expected{Version: report.Version, System: report.System{Name: sys.Name, File: sys.File, Units: u.String()}, Guesses: guesses(sys, u)}
	for _, e := range all {
		s := Setting{Open: e.Open.String(), Flow: show.AmountOf(e.Flow, units.Flow, u), Range: ranged(e.Range, u)}
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
		need := show.AmountOf(p.Need, units.Flow, u)
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

func ranged(x *fault.Interval, u units.System) *show.Interval {
	if x == nil {
		return nil
	}
	return show.IntervalOf(*x, units.Flow, u)
}

// amount is a value in the reader's units; a barometer's are its own.
func amount(v expect.Value, u units.System) show.Amount {
	if v.Quantity != units.Barometer {
		return show.AmountOf(v.Value, v.Quantity.Dimension(), u)
	}
	unit := v.Quantity.Symbol(u)
	x, err := units.Convert(v.Value, units.Pressure, unit)
	if err != nil {
		return show.AmountOf(v.Value, units.Pressure, u)
	}
	return show.Amount{Value: show.Significant(x), Unit: unit}
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

func (q Point) value(want units.Quantity) (show.Amount, bool) {
	for _, v := range q.Values {
		if v.Quantity == want.String() {
			return v.Amount, true
		}
	}
	return show.Amount{}, false
}
