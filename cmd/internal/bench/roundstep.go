package bench

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"

	"lostair/diagnose/duct"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/guided"
	"lostair/report/show"
)

// roundAt is where a round stands.
func (d *desk) roundAt(sys *duct.System, r *roundFile) (*round.Round, error) {
	x := round.Situation{System: sys, Survey: r.survey, Left: round.LeftIn(string(r.data))}
	if c, err := round.ParseComplaint(sys, r.Complaint); err == nil {
		x.Complaint = c
	}
	var err error
	if x.Planned, err = d.aroundRound(sys); err != nil {
		return nil, err
	}
	if len(r.survey.Readings) > 0 {
		a, err := d.diagnosis(r.Name, ofAGoodDay(d.tables()))
		if err != nil {
			return nil, err
		}
		x.Standing = a.SI
	}
	return round.Begin(d.r.Context(), x)
}

// stepOf finds the next step of a round, and what the readings so far say.
func (d *desk) stepOf(sys *duct.System, r *roundFile, v *roundView) error {
	x, err := d.roundAt(sys, r)
	if err != nil {
		return err
	}
	if x.Standing != nil {
		a, err := d.diagnosis(r.Name, ofAGoodDay(d.tables()))
		if err != nil {
			return err
		}
		v.Says = a.Shown.Answer.Broken
		for i, s := range guided.Suspects(a.Shown) {
			v.Suspects = append(v.Suspects, suspectView{N: fmt.Sprint(i + 1), Name: s.Name, Share: s.Chance})
		}
		if e := x.Enough(); e.Yes {
			v.Enough = guided.Enough(e, a.Shown, x.Missed())
		}
	}
	if n := len(r.Rows); n > 0 {
		m, err := x.Means(d.r.Context(), r.Rows[n-1])
		if err != nil {
			return err
		}
		v.Last = minus(guided.Means(m, sys.Units))
	}
	list, err := x.Questions(d.r.Context(), 1+ahead)
	if err != nil {
		return err
	}
	if d.r.Method == http.MethodGet {
		if q, ok := d.asked(x, list); ok {
			list = slices.DeleteFunc(list, func(o round.Question) bool { return o.Key() == q.Key() || o.Key() == q.Instead })
			list = append([]round.Question{q}, list...)
		}
	}
	for i := range list {
		s := d.stepFor(sys, &list[i])
		s.Ways = d.waysOf(sys, &list[i])
		if v.Step == nil {
			v.Step = s
			continue
		}
		v.coming = append(v.coming, s)
	}
	if slices.Contains(d.tables(), afterName(r.Name)) {
		p, err := d.provingOf(sys, r.Name)
		if err != nil {
			return err
		}
		v.Proof = "See what the repair has brought"
		if n := len(p.left); n > 0 {
			v.Proof = fmt.Sprintf("Go on proving the repair: %s to take", plural(n, "reading"))
		}
	}
	if v.Step == nil && v.Enough == "" {
		v.Enough = "That is the whole round: there is nothing more to read that would tell much."
	}
	return nil
}

// asked is the question that the form is for, or that a person asks for; offered
// are those that the round asks itself.
func (d *desk) asked(x *round.Round, offered []round.Question) (round.Question, bool) {
	open, err := readings.ParseOpen(d.form("open"))
	row := readings.Row{Open: open, Point: d.form("point"), Value: math.NaN()}
	q, reading := units.QuantityNamed(d.form("quantity"))
	k, look := readings.LookNamed(d.form("quantity"))
	if row.Point == "" || err != nil || !reading && !look {
		return round.Question{}, false
	}
	if row.Quantity = q; !reading {
		row.Quantity, row.Look = units.NoQuantity, k
	}
	if h := d.form("hose_off"); h != "" {
		row.HoseOff = strings.Split(h, "+")
	}
	for _, known := range offered {
		if known.Key() == round.KeyOf(&row) {
			return known, true
		}
	}
	out, err := x.Wanted(d.r.Context(), row)
	if k := d.form("in_place_of"); strings.Contains(k, "|") && len(k) <= mostStep {
		out.Instead = k
		for _, known := range offered {
			if known.Key() == k {
				out = known.With(out)
			}
		}
	}
	return out, err == nil || !errors.Is(err, d.r.Context().Err())
}

// offered are the questions that the round asks itself.
func (d *desk) offered(x *round.Round) []round.Question {
	list, err := x.Questions(d.r.Context(), 1+ahead)
	if err != nil {
		return nil
	}
	return list
}

// askedFor is the address that asks for a reading, in the place of another if that is named.
func (d *desk) askedFor(r readings.Row, inPlaceOf string) string {
	v := url.Values{"open": {r.Open.String()}, "point": {r.Point}, "quantity": {r.What()}, "hose_off": {strings.Join(r.HoseOff, "+")}}
	if inPlaceOf != "" {
		v.Set("in_place_of", inPlaceOf)
	}
	return d.base + "/round?" + v.Encode()
}

// waysOf are the other ways to read what is asked for.
func (d *desk) waysOf(sys *duct.System, q *round.Question) []wayView {
	var out []wayView
	for _, w := range round.Ways() {
		if row, ok := w.Of(sys, q.Row); ok {
			name, what := guided.Way(w)
			out = append(out, wayView{name, what, d.askedFor(row, cmp.Or(q.Instead, q.Key()))})
		}
	}
	return out
}

// others are the readings that can be taken, for who wants another than the next.
func others(sys *duct.System) *otherView {
	v := &otherView{Open: append([]string{"none", "all"}, sys.Gates()...)}
	for i := range sys.Ducts {
		for _, t := range sys.Ducts[i].Taps {
			v.Points = append(v.Points, t.ID)
		}
	}
	for _, p := range sys.Ports {
		v.Points = append(v.Points, p.ID)
	}
	v.Points = append(v.Points, readings.CollectorInlet, readings.FanInlet, readings.Filter, readings.Bin)
	for _, n := range []string{"static_pressure", "velocity", "flow", "velocity_pressure", "pressure_drop"} {
		q, _ := units.QuantityNamed(n)
		v.Quantities = append(v.Quantities, chip{Value: n, Text: guided.Quantity(q)})
	}
	return v
}

type otherView struct {
	Open, Points []string
	Quantities   []chip
}

// spotOf is the run at which a point is; "" for a part of the collector.
func spotOf(sys *duct.System, point string) string {
	if i, _, ok := sys.TapAt(point); ok {
		return sys.Ducts[i].ID
	}
	if i, ok := sys.PortNamed(point); ok {
		return sys.Ducts[sys.Ports[i].Duct].ID
	}
	return ""
}

// ahead is how many further steps a page brings along, for when the connection
// is gone.
const ahead = 4

// stepFor is a question as the page shows it.
func (d *desk) stepFor(sys *duct.System, q *round.Question) *stepView {
	row := &q.Row
	dim := row.Dimension()
	s := &stepView{Open: row.Open.String(), Gates: guided.Gates(q), Changed: q.Moves, Point: row.Point, Quantity: row.What(), Ask: minus(guided.Asked(sys, q)),
		Unit: dim.Symbol(sys.Units), HoseOff: strings.Join(row.HoseOff, "+"), Key: q.Key(), Range: minus(guided.Range(q, sys.Units)), Why: guided.Why(sys, q),
		InPlaceOf: q.Instead, Units: round.HandUnits(dim), Look: row.Look != "" && !row.Look.Number()}
	if q.NewTap != nil {
		s.Drill = &drillView{Duct: q.NewTap.Duct, Tap: row.Point, At: units.FormatBare(q.NewTap.At, units.Length, sys.Units), Unit: symbol(units.Length.Symbol(sys.Units))}
	}
	_, _, s.Tap = sys.TapAt(row.Point)
	if x := guided.SaysLittle(sys, q); x != "" {
		s.Range += ", " + x
	}
	if guided.Fast(q) {
		s.Range += ", " + show.FastWords
	}
	s.How, s.Safety = guided.HowTo(sys, q)
	return s
}

func minus(s string) string { return symbol(dash(s)) }

// dash writes the minus of a number as people print it, and leaves the hyphens of ids.
func dash(s string) string { return signs.ReplaceAllString(s, "${1}−${2}") }

var signs = regexp.MustCompile(`(^|[ (])-([0-9])`)
