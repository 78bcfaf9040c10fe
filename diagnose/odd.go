package diagnose

import (
	"fmt"
	"math"
	"slices"

	"lostair/diagnose/duct"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// Above fastVane, m/s, most hand-held vanes don't read. Above seeping, m/s, air
// at a port comes through no gate that is shut, were it a leaky one. No system
// is under beyondFan times the fan's highest pressure. All are common practice,
// no source; they bring a warning and touch no answer.
const (
	fastVane  = 30.0
	seeping   = 8.0
	beyondFan = 1.5
	vaneFills = 0.1 // of a mouth: from here on a vane's head is said to be in the way of the air
)

// Odd warns of rows that a duct system can't show, or hardly: pressure above
// the room's on the fan's suction side, air at a port whose gate is shut, air
// too fast for a vane. The rows stay usable.
func Odd(sys *duct.System, survey *readings.Survey) problem.List {
	var out problem.List
	warn := func(r *readings.Row, what, do string) {
		out = append(out, problem.Problem{File: survey.File, Line: r.Line, Column: r.Columns.Value, What: what, Do: do, Warning: true})
	}
	if r := observe.AllZero(survey); r != nil {
		warn(r, "every value is zero, so the readings hold nothing", "check that the fan ran, the taps were open into the duct, and the instruments were connected")
	}
	var fast []*readings.Row
	for i := range survey.Rows {
		r := &survey.Rows[i]
		if what, do, ok := odd(sys, r); ok {
			warn(r, what, do)
		} else if TooFast(r.Quantity, r.Value/max(r.Factor, 1)) { // at the vane, in a cone that widens
			fast = append(fast, r)
		}
	}
	if len(fast) > 0 { // said once: the instrument is the same
		more := ""
		if n := len(fast) - 1; n > 0 {
			more = fmt.Sprintf(", and %d more as fast", n)
		}
		warn(fast[0], fmt.Sprintf("a velocity of %s%s: more than most hand-held vanes can read", units.Format(fast[0].Value, units.Velocity, sys.Units), more),
			"check unit and range of the instrument; above its range read velocity_pressure with a pitot tube")
	}
	for _, b := range observe.Bores(sys, survey) {
		if !b.AsWritten() {
			d := &sys.Ducts[b.Duct]
			i := slices.IndexFunc(survey.Looks, func(r readings.Row) bool { return r.Look == readings.InsideDiameter && r.Point == d.ID })
			is := units.Format(b.Is, units.Diameter, sys.Units)
			warn(&survey.Looks[i], fmt.Sprintf("%s measures %s across, the system file says %s", d.ID, is, units.Format(b.Page, units.Diameter, sys.Units)),
				"all is worked out with "+is+"; if it is right, correct the system file")
		}
	}
	for _, x := range tooWide(sys, survey) {
		warn(x.first, x.what(sys), "read velocity_pressure with a pitot tube at a tap, or the middle with a thin probe (centre_velocity); or hold the vane in a cone of known factor over the mouth, and write that under factor")
	}
	out.Sort()
	return out.InSheet(survey.File, survey.Sheet)
}

// wideVane is a vane whose head fills too much of a mouth or duct, in how many rows.
type wideVane struct {
	by    *duct.Instrument
	first *readings.Row
	share float64 // of the first row's
	rows  int
}

func (x *wideVane) what(sys *duct.System) string {
	more := ""
	switch {
	case x.rows == 2:
		more = ", and in 1 more row"
	case x.rows > 2:
		more = fmt.Sprintf(", and in %d more rows", x.rows-1)
	}
	return fmt.Sprintf("the head of %s, %s wide, covers %.0f %% of the section at %s%s: it stands in the way of the air that it measures",
		x.by.ID, units.Format(x.by.Size, units.Diameter, sys.Units), 100*min(x.share, 1), x.first.Point, more)
}

// tooWide lists the vanes whose heads fill too much of what they were held in. What
// was read through a hood or cone is left out.
func tooWide(sys *duct.System, survey *readings.Survey) []*wideVane {
	var out []*wideVane
	for i := range sys.Instruments {
		x := &wideVane{by: &sys.Instruments[i]}
		for k := range survey.Rows {
			r := &survey.Rows[k]
			if r.Instrument != x.by.ID || x.by.Size == 0 || r.Factor > 0 {
				continue
			}
			area := sectionAt(sys, r)
			share := math.Pi / 4 * x.by.Size * x.by.Size / area
			if area == 0 || share <= vaneFills {
				continue
			}
			if x.rows++; x.rows == 1 {
				x.first, x.share = r, share
			}
		}
		if x.rows > 0 {
			out = append(out, x)
		}
	}
	return out
}

// sectionAt is the area in which a row was read: that of a port's mouth or of a duct;
// 0 at the collector.
func sectionAt(sys *duct.System, r *readings.Row) float64 {
	d, _, ok := sys.TapAt(r.Point)
	if p, port := sys.PortNamed(r.Point); port {
		d, ok = sys.Ports[p].Duct, true
		if o := sys.Ports[p].Opening; o != nil && !slices.Contains(r.HoseOff, r.Point) {
			return o.Area()
		}
	}
	if !ok {
		return 0
	}
	b := sys.Ducts[d].Diameter
	return math.Pi / 4 * b * b
}

// TooFast is whether a velocity to be read is more than most hand-held vanes read.
func TooFast(q units.Quantity, si float64) bool {
	return (q == units.MeanVelocity || q == units.CentreVelocity) && si > fastVane
}

// odd says what is odd about one row, and what to do.
func odd(sys *duct.System, r *readings.Row) (what, do string, ok bool) {
	if blown(sys, r) {
		return fmt.Sprintf("%s at %s says that the duct blows out, but it lies on the fan's suction side", r.Quantity, r.Point),
			"write it as negative, or check which leg of the gauge was at the tap", true
	}
	if most := fanPeak(sys); r.Quantity.Dimension() == units.Pressure && math.Abs(r.Value) > beyondFan*most {
		return fmt.Sprintf("%s at %s is more than the fan makes, %s at most", r.Quantity, r.Point, units.Format(most, units.Pressure, sys.Units)),
			"check the unit and the decimal point", true
	}
	if least := floorOf(sys, r); r.Quantity == units.VelocityPressure && r.Value < -least {
		return fmt.Sprintf("the velocity pressure at %s is negative, by more than its gauge is off at zero (%s)", r.Point, units.Format(least, units.Pressure, sys.Units)),
			"swap the tubes of the gauge and read again, or write it as positive", true
	}
	speed, ok := speedOf(sys, r)
	if !ok {
		return "", "", false
	}
	if g := shutGate(sys, r); g != "" && speed > seeping {
		return fmt.Sprintf("much air at port %s, but the gate %s is not among those open", r.Point, g),
			"check the column open, or that the gate was shut", true
	}
	return "", "", false
}

// floorOf is how far the gauge of a row may be off at zero, Pa.
func floorOf(sys *duct.System, r *readings.Row) float64 {
	for _, in := range sys.Instruments {
		if in.ID == r.Instrument {
			return in.Floor
		}
	}
	return observe.AnyManometer.Floor
}

// fanPeak is the highest pressure of the fan's curve; without bound where the file tells none.
func fanPeak(sys *duct.System) float64 {
	if c := &sys.Collector; c.FanKnown() != duct.ByCurve && c.FanKnown() != duct.ByEnds {
		return math.Inf(1)
	}
	_, most := handbook.GuessedEnds(sys)
	return most
}

// blown says whether a row reads pressure above the room's where a fan can only
// suck. A negative suction is warned of when the file is read.
func blown(sys *duct.System, r *readings.Row) bool {
	_, _, tap := sys.TapAt(r.Point)
	if !tap && r.Point != readings.CollectorInlet && r.Point != readings.FanInlet {
		return false
	}
	return r.Quantity == units.StaticPressure && r.Value > 0
}

// speedOf is the velocity that a row reads at a port or tap, m/s.
func speedOf(sys *duct.System, r *readings.Row) (float64, bool) {
	switch r.Quantity {
	case units.MeanVelocity, units.CentreVelocity:
		return r.Value, true
	case units.FlowRate:
		if p, ok := sys.PortNamed(r.Point); ok {
			d := sys.Ducts[sys.Ports[p].Duct].Diameter
			return r.Value / (math.Pi / 4 * d * d), true
		}
	}
	return 0, false
}

// shutGate is the gate that is shut between the port of a row and the
// collector, "" if there is none.
func shutGate(sys *duct.System, r *readings.Row) string {
	p, ok := sys.PortNamed(r.Point)
	if !ok || r.Open.All {
		return ""
	}
	for d := sys.Ports[p].Duct; d >= 0; d = sys.Ducts[d].Into {
		if g := sys.Ducts[d].Gate; g != "" && !slices.Contains(r.Open.Gates, g) {
			return g
		}
	}
	return ""
}
