package rounds

import (
	"cmp"
	"crypto/rand"
	"errors"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/diagnose/duct"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/dates"
	"lostair/readings/units"
	"lostair/report/guided"
	"lostair/report/show"
)

// stepView is a reading that is asked for.
type stepView struct {
	Open, Gates     string // the gates as the file has them, and in words
	Changed         bool   // they stand otherwise than before
	Point, Quantity string
	Ask             string // what to read or look at, and where
	Unit            string
	HoseOff         string
	Range           string // what sound systems show
	Why             string
	Drill           *drillView // of a hole that is not there
	Tap             bool       // a hole of the shop's file is asked for
	How             []string
	Safety          string
	Units           []string
	Key             string // tells this step from others
	InPlaceOf       string // key of the step in whose place it is asked
	Ways            []wayView
	Look            bool // answered by yes or no
}

// drillView is a hole to drill first.
type drillView struct{ Duct, Tap, At, Unit string }

// wayView is another way to read a step, and where it is asked for.
type wayView struct{ Name, What, To string }

type doneView struct{ What, Value string }

// doneWords say what was read or looked at.
func doneWords(row *readings.Row) string {
	if row.Look != "" {
		return fmt.Sprintf("%s, %s", row.Point, strings.ReplaceAll(row.What(), "_", " "))
	}
	s := fmt.Sprintf("%s, %s", row.Point, guided.Open(row.Open.String()))
	if len(row.HoseOff) > 0 {
		s += ", hose off " + strings.Join(row.HoseOff, " and ")
	}
	return s
}

// stepForm is a step with all that its form needs.
type stepForm struct {
	*stepView
	Base, File string
	Entry      string // marks what is sent, so that it counts once
	After      int    // readings that were there before
	Problems   []pages.Telling
	Sure       bool   // asks whether the value is right as it is
	Typed      string // once more
	To, Of     string // where it is sent, and the survey that it is a proof for
	Instead    string // the value that would fit, with its unit
}

// formOf makes the form of a step in the round of a file, after so many readings.
func formOf(base, file string, s *stepView, after int) *stepForm {
	return &stepForm{stepView: s, Base: base, To: "/round/read", File: file, After: after,
		Entry: rand.Text()} // its own: two devices that see the same step send two readings
}

// again makes a form that was sent ask once more, with what is wrong with what was typed.
func (f *stepForm) again(d *desk.Desk, list []pages.Telling, doubt *round.Doubt) {
	f.Problems, f.Sure, f.Typed, f.Entry = list, doubt != nil, d.Form("value"), cmp.Or(d.Form("entry"), f.Entry)
	if u := d.Form("unit"); slices.Contains(f.Units, u) { // the value that stands there is in it
		step := *f.stepView
		step.Unit, f.stepView = u, &step
	}
	if doubt != nil && doubt.Row != nil {
		f.Instead = strings.TrimSpace(doubt.Row.Typed + " " + doubt.Row.Unit)
	}
}

// placeless are problems without the place in a file: they stand at what was typed.
func placeless(list []pages.Telling) []pages.Telling {
	for i := range list {
		list[i].Place = ""
	}
	return list
}

// aroundRound is what a guided round reads where nobody complains of anything.
func (b *Book) aroundRound(d *desk.Desk, sys *duct.System) ([]readings.Row, error) {
	return b.around.Of(d, func() ([]readings.Row, error) { return round.Around(d.Context(), sys) })
}

// mostStep bounds the key of a step.
const mostStep = 400

// questionAsked is the question that the form is for, or that a person asks for; offered
// are those that the round asks itself.
func questionAsked(d *desk.Desk, x *round.Round, offered []round.Question) (round.Question, bool) {
	open, err := readings.ParseOpen(d.Form("open"))
	row := readings.Row{Open: open, Point: d.Form("point"), Value: math.NaN()}
	q, reading := units.QuantityNamed(d.Form("quantity"))
	k, look := readings.LookNamed(d.Form("quantity"))
	if row.Point == "" || err != nil || !reading && !look {
		return round.Question{}, false
	}
	if row.Quantity = q; !reading {
		row.Quantity, row.Look = units.NoQuantity, k
	}
	if h := d.Form("hose_off"); h != "" {
		row.HoseOff = strings.Split(h, "+")
	}
	for _, known := range offered {
		if known.Key() == round.KeyOf(&row) {
			return known, true
		}
	}
	out, err := x.Wanted(d.Context(), row)
	if k := d.Form("in_place_of"); strings.Contains(k, "|") && len(k) <= mostStep {
		out.Instead = k
		for _, known := range offered {
			if known.Key() == k {
				out = known.With(out)
			}
		}
	}
	return out, err == nil || !errors.Is(err, d.Context().Err())
}

// offered are the questions that the round asks itself.
func offered(d *desk.Desk, x *round.Round) []round.Question {
	list, err := x.Questions(d.Context(), 1+ahead)
	if err != nil {
		return nil
	}
	return list
}

// askedFor is the address that asks for a reading, in the place of another if that is named.
func askedFor(d *desk.Desk, r readings.Row, inPlaceOf string) string {
	v := url.Values{"open": {r.Open.String()}, "point": {r.Point}, "quantity": {r.What()}, "hose_off": {strings.Join(r.HoseOff, "+")}}
	if inPlaceOf != "" {
		v.Set("in_place_of", inPlaceOf)
	}
	return d.Base + "/round?" + v.Encode()
}

// waysOf are the other ways to read what is asked for.
func waysOf(d *desk.Desk, sys *duct.System, q *round.Question) []wayView {
	var out []wayView
	for _, w := range round.Ways() {
		if row, ok := w.Of(sys, q.Row); ok {
			name, what := guided.Way(w)
			out = append(out, wayView{name, what, askedFor(d, row, cmp.Or(q.Instead, q.Key()))})
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
		v.Quantities = append(v.Quantities, pages.Chip{Value: n, Text: guided.Quantity(q)})
	}
	return v
}

type otherView struct {
	Open, Points []string
	Quantities   []pages.Chip
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
func stepFor(d *desk.Desk, sys *duct.System, q *round.Question) *stepView {
	row := &q.Row
	dim := row.Dimension()
	s := &stepView{Open: row.Open.String(), Gates: guided.Gates(q), Changed: q.Moves, Point: row.Point, Quantity: row.What(), Ask: pages.Minus(guided.Asked(sys, q)),
		Unit: dim.Symbol(sys.Units), HoseOff: strings.Join(row.HoseOff, "+"), Key: q.Key(), Range: pages.Minus(guided.Range(q, sys.Units)), Why: guided.Why(sys, q),
		InPlaceOf: q.Instead, Units: round.HandUnits(dim), Look: row.Look != "" && !row.Look.Number()}
	if q.NewTap != nil {
		s.Drill = &drillView{Duct: q.NewTap.Duct, Tap: row.Point, At: units.FormatBare(q.NewTap.At, units.Length, sys.Units), Unit: pages.Symbol(units.Length.Symbol(sys.Units))}
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

// rowTyped is the answer as it was typed, or what would fit in its place.
func rowTyped(d *desk.Desk, x *round.Round, q *round.Question) (readings.Row, bool, error) {
	row, explicit, err := x.Typed(q, cmp.Or(d.Form("instead"), d.Form("value")), d.Form("unit"))
	var ue *units.Error
	switch {
	case errors.As(err, &ue):
		return row, false, desk.Refuse(http.StatusUnprocessableEntity, ue.What+".", ue.Do)
	case errors.Is(err, round.ErrNoValue):
		return row, false, desk.Refuse(http.StatusUnprocessableEntity, "No value was given.", "Type what the instrument shows, or skip this reading.")
	case err != nil:
		return row, false, desk.Refuse(http.StatusUnprocessableEntity, err.Error()+".", "")
	}
	row.Date, _ = dates.Today(d.Now())
	row.Note = d.Form("note")
	return row, explicit, nil
}

// leftOut is what a form says is not to be asked.
func leftOut(d *desk.Desk) (round.Left, bool) {
	step, point := cmp.Or(d.Form("in_place_of"), d.Form("step")), d.Form("point")
	if !strings.Contains(step, "|") || len(step) > mostStep {
		return round.Left{}, false
	}
	switch why := d.Form("skip"); {
	case why != "reach" && why != "no tap":
		return round.Left{Key: step, Why: round.Skipped}, true
	case point == "" || strings.Contains(point, "|") || len(point) > mostStep:
		return round.Left{}, false
	case why == "reach":
		return round.Left{Point: point, Why: round.OutReach}, true
	}
	return round.Left{Point: point, Why: round.NoSuchTap}, true
}
