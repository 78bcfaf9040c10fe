package bench

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
)

type writer = io.Writer

// stepOf finds the next step of a round, and what the readings so far say.
func (d *desk) stepOf(sys *duct.System, r *roundFile, v *roundView) error {
	var offered []readings.Row
	why := map[string]string{}
	if row, ok := d.rowWanted(); ok {
		offered = append(offered, row)
	}
	if len(r.Rows) > 0 {
		a, err := d.diagnosis(r.Name, ofAGoodDay(d.tables()))
		if err != nil {
			return err
		}
		v.Says = a.Shown.Answer.Broken
		v.Suspects = suspectsOf(a)
		v.Last = d.lastSays(sys, r.Rows[len(r.Rows)-1])
		for i, n := range a.SI.Next {
			if n.Quantity == units.NoQuantity || n.NewTap != nil {
				continue
			}
			row := readings.Row{Open: n.Open, Point: n.Point, Quantity: n.Quantity, HoseOff: n.HoseOff, Value: math.NaN()}
			why[keyOf(row)] = a.Shown.Next[i].Why
			offered = append(offered, row)
		}
	}
	rows, err := d.plannedRound(sys)
	if err != nil {
		return err
	}
	rows = weakFirst(sys, rows, r.Complaint)
	done := map[string]bool{}
	for _, x := range r.Rows {
		done[keyOf(x)] = true
	}
	before := "" // how the gates stand
	if n := len(r.Rows); n > 0 {
		before = r.Rows[n-1].Open.String()
	}
	for i, row := range append(offered, rows...) {
		k := keyOf(row)
		wanted := i == 0 && d.form("point") != "" && d.r.Method == http.MethodGet
		if !wanted && (done[k] || d.skipped(r.Name, k)) {
			continue
		}
		done[k] = true
		x, err := d.stepFor(sys, row)
		if err != nil {
			return err
		}
		x.Why = why[k]
		x.Changed = before != row.Open.String()
		before = x.Open
		if v.Step == nil {
			v.Step = x
		} else if v.coming = append(v.coming, x); len(v.coming) == ahead {
			break
		}
	}
	if v.Step != nil {
		return nil
	}
	v.Enough = "That is the whole round: there is nothing more to read that would tell much."
	return nil
}

// weakFirst puts the readings on the way from a machine that is said to be weak in
// front, those with its own gates open first of all.
func weakFirst(sys *duct.System, rows []readings.Row, complaint string) []readings.Row {
	p, ok := sys.PortNamed(strings.TrimPrefix(complaint, "weak at "))
	if !ok {
		return rows
	}
	way := map[string]bool{}
	gates := ""
	for d := sys.Ports[p].Duct; d >= 0; d = sys.Ducts[d].Into {
		if len(sys.Ducts[d].Children) < 2 {
			way[sys.Ducts[d].ID] = true
		}
		gates += sys.Ducts[d].Gate
	}
	rank := func(r readings.Row) int {
		switch {
		case way[spotOf(sys, r.Point)] && gates != "" && r.Open.String() == gates:
			return 0
		case way[spotOf(sys, r.Point)]:
			return 1
		}
		return 2
	}
	own, err := readings.ParseOpen(cmp.Or(gates, "all"))
	if err != nil {
		return rows
	}
	out := []readings.Row{{Open: own, Point: sys.Ports[p].ID, Quantity: units.MeanVelocity, Value: math.NaN()}}
	for d := sys.Ports[p].Duct; d >= 0 && len(sys.Ducts[d].Children) < 2; d = sys.Ducts[d].Into {
		if t := sys.Ducts[d].Taps; len(t) > 0 {
			out = append([]readings.Row{{Open: own, Point: t[0].ID, Quantity: units.StaticPressure, Value: math.NaN()}}, out...)
			break
		}
	}
	for _, r := range rows {
		if !slices.ContainsFunc(out, func(x readings.Row) bool { return keyOf(x) == keyOf(r) }) {
			out = append(out, r)
		}
	}
	slices.SortStableFunc(out, func(a, b readings.Row) int { return rank(a) - rank(b) })
	return out
}

// rowWanted is a reading that the person asks to take, such as the last once more.
func (d *desk) rowWanted() (readings.Row, bool) {
	q, ok := units.QuantityNamed(d.form("quantity"))
	open, err := readings.ParseOpen(d.form("open"))
	if d.r.Method != http.MethodGet || d.form("point") == "" || !ok || err != nil {
		return readings.Row{}, false
	}
	row := readings.Row{Open: open, Point: d.form("point"), Quantity: q, Value: math.NaN()}
	if h := d.form("hose_off"); h != "" {
		row.HoseOff = strings.Split(h, "+")
	}
	return row, true
}

// lastSays compares the last reading with what sound shops show.
func (d *desk) lastSays(sys *duct.System, row readings.Row) string {
	dim := row.Quantity.Dimension()
	expected, err := expectedAt(d.r.Context(), sys, []readings.Row{row})
	thing := map[string]string{"static_pressure": "suction", "suction": "suction", "velocity": "air", "centre_velocity": "air", "flow": "air", "velocity_pressure": "air", "pressure_drop": "drop"}[row.Quantity.String()]
	if err != nil || len(expected) != 1 || thing == "" {
		return ""
	}
	e := expected[0]
	head := fmt.Sprintf("%s showed %s, and sound shops show %s to %s", row.Point, minus(units.Format(row.Value, dim, sys.Units)),
		minus(units.FormatBare(e.Low, dim, sys.Units)), minus(units.Format(e.High, dim, sys.Units)))
	far := (e.High - e.Low) / 2
	over := math.Max(row.Value-e.High, 0) - math.Max(e.Low-row.Value, 0)
	if row.Quantity == units.StaticPressure {
		over = -over
	}
	switch {
	case over == 0:
		return head + ": as it should."
	case over > far:
		return head + ": far more " + thing + "."
	case over > 0:
		return head + ": more " + thing + "."
	case over < -far:
		return head + ": far less " + thing + "."
	}
	return head + ": less " + thing + "."
}

// askedAgain is the address that asks for the last reading once more.
func (d *desk) askedAgain(r readings.Row) string {
	return d.base + "/round?" + url.Values{"open": {r.Open.String()}, "point": {r.Point}, "quantity": {r.Quantity.String()}, "hose_off": {strings.Join(r.HoseOff, "+")}}.Encode()
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
		v.Quantities = append(v.Quantities, chip{Value: n, Text: quantityWords(q)})
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

func keyOf(r readings.Row) string {
	return strings.Join([]string{r.Open.String(), r.Point, r.Quantity.String(), strings.Join(r.HoseOff, "+")}, "|")
}

// stepAsked is the step that the form was for.
func (d *desk) stepAsked(sys *duct.System) *stepView {
	q, _ := units.QuantityNamed(d.form("quantity"))
	open, err := readings.ParseOpen(d.form("open"))
	if err != nil {
		return nil
	}
	row := readings.Row{Open: open, Point: d.form("point"), Quantity: q, Value: math.NaN()}
	if h := d.form("hose_off"); h != "" {
		row.HoseOff = strings.Split(h, "+")
	}
	s, err := d.stepFor(sys, row)
	if err != nil {
		return nil
	}
	return s
}

func (d *desk) stepFor(sys *duct.System, row readings.Row) (*stepView, error) {
	dim := row.Quantity.Dimension()
	s := &stepView{Open: row.Open.String(), OpenWords: openWords(row.Open.String()), Point: row.Point, Quantity: row.Quantity.String(),
		What: quantityWords(row.Quantity), Unit: dim.Symbol(sys.Units), HoseOff: strings.Join(row.HoseOff, "+"), Key: keyOf(row), Where: whereWords(sys, row.Point)}
	expected, err := expectedAt(d.r.Context(), sys, []readings.Row{row})
	if err == nil && len(expected) == 1 {
		e := expected[0]
		s.Range = fmt.Sprintf("%s to %s", minus(units.FormatBare(e.Low, dim, sys.Units)), minus(units.Format(e.High, dim, sys.Units)))
	}
	s.How, s.Safety = howTo(row.Quantity, row.Point)
	s.Units = handUnits[dim]
	return s, nil
}

// handUnits are those that gauges in a shop show.
var handUnits = map[units.Dimension][]string{
	units.Pressure: {"Pa", "kPa", "mbar", "inH2O", "mmH2O"},
	units.Velocity: {"m/s", "fpm"},
	units.Flow:     {"m3/h", "cfm"},
}

func minus(s string) string { return symbol(strings.ReplaceAll(s, "-", "−")) }

func openWords(open string) string {
	switch open {
	case "none":
		return "all gates shut"
	case "all":
		return "all gates open"
	}
	return "only " + strings.ReplaceAll(open, "+", " and ") + " open"
}

func quantityWords(q units.Quantity) string {
	words := map[string]string{"static_pressure": "static pressure", "suction": "suction", "velocity": "air speed", "centre_velocity": "air speed in the middle",
		"velocity_pressure": "velocity pressure", "flow": "flow", "pressure_drop": "pressure drop", "total_pressure": "total pressure"}
	if w := words[q.String()]; w != "" {
		return w
	}
	return strings.ReplaceAll(q.String(), "_", " ")
}

// whereWords says where a point is.
func whereWords(sys *duct.System, point string) string {
	if i, t, ok := sys.TapAt(point); ok {
		d := &sys.Ducts[i]
		return fmt.Sprintf("the hole %s, on %s, %s from its far end", point, d.ID, units.Format(d.Taps[t].Distance, units.Length, sys.Units))
	}
	if i, ok := sys.PortNamed(point); ok {
		return fmt.Sprintf("the mouth of %s, where %s begins", point, sys.Ducts[sys.Ports[i].Duct].ID)
	}
	switch point {
	case readings.CollectorInlet:
		return "the collector's inlet"
	case readings.FanInlet:
		return "the pipe into the fan"
	case readings.Filter:
		return "the filter: from its dirty side to the room"
	case readings.Bin:
		return "the dust bin"
	}
	return point
}

// howTo says how to hold the instrument, and what to mind.
func howTo(q units.Quantity, point string) (how []string, safety string) {
	switch q.Dimension() {
	case units.Pressure:
		how = []string{"Set the gauge to zero in still air before each round.",
			"Hold the tube flush with the wall, square to it, over the hole; seal around it with a finger or putty.",
			"Write suction with a minus if you are asked for static pressure. Wait until it stands still, and take the middle of its swing."}
		if q == units.PressureDrop {
			how[1] = "One tube on each side of it: the gauge's plus side upstream."
		}
		safety = "Keep loose sleeves and hair away from open ducts. To drill a new hole: fan off and locked off, no dust in the duct, eyes covered, no sparks near fine dust."
	case units.Velocity, units.Flow:
		how = []string{"Hold the vane square to the air, in the plane of the opening.", "Move it slowly over the whole opening for ten seconds and take the mean.", "Keep your body out of the way of the air."}
		safety = "The machine is off and unplugged before you reach near its cutter. A wide open hose pulls: keep fingers, sleeves and rags away."
	}
	return how, safety
}

// suspectsOf lists what the readings point to: what is asserted or, if nothing
// is, the likeliest.
func suspectsOf(a *answered) []suspectView {
	var out []suspectView
	found, _, _ := report.Sorted(a.Shown.Faults)
	for i, f := range found {
		x := suspectView{N: fmt.Sprint(i + 1), Name: f.Name + ": " + chanceWords(f.Together), Share: f.Together}
		if len(a.Shown.Answer.Where) == len(found) {
			x.Name = a.Shown.Answer.Where[i]
		}
		out = append(out, x)
	}
	if len(out) > 0 {
		return out
	}
	for _, c := range a.Shown.Candidates {
		if len(out) == 3 || c.Probability < 0.05 {
			break
		}
		out = append(out, suspectView{N: fmt.Sprint(len(out) + 1), Name: "perhaps " + c.Name + ": " + chanceWords(c.Probability), Share: c.Probability})
	}
	return out
}

// chanceWords is a probability as people say it.
func chanceWords(p float64) string {
	switch {
	case p >= 0.99:
		return "over 99 in 100"
	case p < 0.01:
		return "under 1 in 100"
	}
	return fmt.Sprintf("%.0f in 100", 100*p)
}
