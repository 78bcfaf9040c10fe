package expected

import (
	"fmt"
	"io"
	"math"
	"strings"

	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/layout"
	"lostair/report/show"
)

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
