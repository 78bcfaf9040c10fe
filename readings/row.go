package readings

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"lostair/readings/csvtext"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// mostPositions is more than any traverse has.
const mostPositions = 999

// row checks one row; false if it cannot be used, and then it holds what could
// be read.
func (l *loader) row(w *written, at place) (Row, bool) {
	before, bad0 := len(l.list), len(l.noDate)
	row := Row{Line: at.line, Point: csvtext.Unguard(w.Point), Instrument: csvtext.Unguard(w.Instrument), Note: csvtext.Unguard(w.Note), Columns: at.columns}
	c := at.columns
	var bad *fault
	row.Open, bad = parseOpen(csvtext.Unguard(w.Open))
	l.report(at.line, c.Open, bad)
	if w.Point == "" {
		l.fail(at.line, c.Point, "it is not said where this was read", "write a tap's or port's id, or one of "+strings.Join(ReservedPoints(), ", "))
	}
	row.HoseOff, bad = parseHoseOff(csvtext.Unguard(w.HoseOff))
	l.report(at.line, c.HoseOff, bad)
	row.Date, bad = parseDate(w.Date, l.dates)
	l.dateless(at, w.Date, bad)
	row.Quantity, bad = parseQuantity(w.Quantity)
	if l.report(at.line, c.Quantity, bad) {
		l.measured(&row, w, at)
	} else {
		l.unmeasured(w, at)
	}
	return row, l.list[before:].Err() == nil && bad0 == len(l.noDate)
}

// unmeasured reads of a row whose quantity isn't known what is wrong whatever
// it may be.
func (l *loader) unmeasured(w *written, at place) {
	if w.Unit != "" && !isUnit(w.Unit) {
		l.fail(at.line, at.columns.Unit, fmt.Sprintf("%s is not a unit of pressure, velocity or flow", quote(w.Unit)), "use one that the quantity has, like Pa, m/s or m3/h")
	}
	if _, ok := saysYesOrNo(w.Value); !ok { // of a look whose name is misspelt
		l.report(at.line, at.columns.Value, l.noNumber(w.Value))
	}
	_, bad := parsePosition(w.Position, units.VelocityPressure)
	l.report(at.line, at.columns.Position, bad)
}

// isUnit is whether a text is a unit of anything that is read.
func isUnit(text string) bool {
	for _, d := range [...]units.Dimension{units.Pressure, units.Velocity, units.Flow, units.Temperature, units.Share, units.Power, units.Current, units.Rotation} {
		if _, ok := units.Lookup(text, d); ok {
			return true
		}
	}
	return false
}

// noNumber says what is wrong with a value of which the unit isn't known: all
// that can be said is whether there is a number.
func (l *loader) noNumber(value string) *fault {
	_, err := units.Parse(value, units.Pressure, l.sys)
	if e, ok := err.(*units.Error); ok && e.Fault == units.NotANumber {
		return &fault{e.What, "write a number with a decimal point, like 2.5"}
	} else if ok && e.Fault != units.UnknownUnit {
		return faultOf(err)
	}
	return nil
}

// measured reads what depends on the quantity.
func (l *loader) measured(row *Row, w *written, at place) {
	c := at.columns
	var bad *fault
	row.Position, bad = parsePosition(w.Position, row.Quantity)
	l.report(at.line, c.Position, bad)
	if !l.report(at.line, c.Quantity, checkPoint(row)) {
		defer func() { row.Quantity = units.NoQuantity }() // what is wrong with it is said
	}
	if l.value(row, w, at) && l.factor(row, w, at) {
		l.sign(row, at)
		if l.sheet != "" && row.Quantity == units.Humidity && row.Value > 0 && row.Value <= 0.01 {
			l.warn(at.line, c.Value, fmt.Sprintf("the humidity is taken as %s %%, but a cell that shows 45 %% holds 0.45", row.Typed), "write the number of percents, 45, into a cell without a format")
		}
	}
	if l.sep == ',' && at.beside && digits(w.Note) && !strings.ContainsAny(w.Value, ".,") {
		l.warn(at.line, at.note, fmt.Sprintf("the note %s right after the value %s may be its decimals", quote(w.Note), quote(w.Value)), "write the value with a decimal point")
	}
}

// value reads the value in the unit of its row.
func (l *loader) value(row *Row, w *written, at place) bool {
	d := row.Dimension()
	if l.sep == ',' && digits(w.Unit) && !strings.ContainsAny(w.Value, ".,") {
		l.fail(at.line, at.columns.Unit, fmt.Sprintf("%s stands where the unit should and may be the decimals of the value %s", quote(w.Unit), quote(w.Value)), "write the value with a decimal point")
		return false
	}
	if row.Quantity == units.Barometer && w.Unit == "" && bareNumber(w.Value) {
		l.fail(at.line, at.columns.Unit, "the barometer "+quote(w.Value)+" has no unit", "write its unit: Pa, hPa, mbar or inHg")
		return false
	}
	unit, bad := l.unit(w.Unit, d)
	if !l.report(at.line, at.columns.Unit, bad) {
		l.report(at.line, at.columns.Value, l.noNumber(w.Value))
		return false
	}
	v, err := units.ParseIn(w.Value, d, unit)
	if err != nil {
		return l.report(at.line, at.columns.Value, faultOf(err))
	}
	if v.Explicit && w.Unit != "" && v.Unit != unit {
		l.fail(at.line, at.columns.Unit, fmt.Sprintf("the value %s has a unit of its own, and the column unit says %s", quote(w.Value), quote(w.Unit)), "write the unit once")
		return false
	}
	if most := largest[d]; math.Abs(v.SI) > most {
		l.fail(at.line, at.columns.Value, fmt.Sprintf("%s %s is more than any instrument shows", quote(v.Text), v.Unit), "correct the value or its unit")
		return false
	}
	row.Value, row.Typed, row.Unit = v.SI, v.Text, v.Unit
	return true
}

// leastFactor and mostFactor bound the factor of a hood or cone. Own choice.
const leastFactor, mostFactor = 0.01, 100.0

// factor multiplies the value by the factor of a hood or cone.
func (l *loader) factor(row *Row, w *written, at place) bool {
	if w.Factor == "" {
		return true
	}
	c := at.columns.Factor
	switch row.Quantity {
	case units.MeanVelocity, units.CentreVelocity, units.FlowRate:
	default:
		l.fail(at.line, c, fmt.Sprintf("a %s has no factor", row.Quantity), "leave factor empty; it is for a velocity or a flow read with a hood or cone")
		return false
	}
	v, err := units.Parse(w.Factor, units.Number, l.sys)
	if err != nil || v.SI < leastFactor || v.SI > mostFactor {
		l.fail(at.line, c, fmt.Sprintf("the factor %s is not a number from %g to %g", quote(w.Factor), leastFactor, mostFactor), "write what the reading is to be multiplied by, like 0.62")
		return false
	}
	row.Factor = v.SI
	row.Value *= v.SI
	shown, err := units.Convert(row.Value, row.Dimension(), row.Unit)
	if err != nil {
		return l.report(at.line, at.columns.Unit, faultOf(err))
	}
	row.Typed = tidy(shown)
	return true
}

// bareNumber is whether a value carries no unit of its own.
func bareNumber(value string) bool {
	v, err := units.Parse(value, units.Pressure, units.Metric)
	return err == nil && !v.Explicit
}

// largest is the largest value that is taken, SI: far above what a slip of
// unit makes of a reading, which the diagnosis finds, and small enough to
// calculate with.
var largest = map[units.Dimension]float64{units.Pressure: 1e9, units.Velocity: 1e5, units.Flow: 1e5, units.Diameter: 10,
	units.Temperature: 400, units.Share: 1, units.Power: 1e7, units.Current: 1e5, units.Rotation: 1e4}

func (l *loader) unit(text string, d units.Dimension) (string, *fault) {
	if text == "" {
		return d.Symbol(l.sys), nil
	}
	if symbol, ok := units.Lookup(text, d); ok {
		return symbol, nil
	}
	_, err := units.Convert(0, d, text)
	return "", faultOf(err)
}

func faultOf(err error) *fault {
	if e, ok := err.(*units.Error); ok {
		return &fault{e.What, e.Do}
	}
	return &fault{err.Error(), "check the value"}
}

// sign looks at the sign that the contract gives a quantity. A sign that may
// be a slip is left as written, for the diagnosis to judge.
func (l *loader) sign(row *Row, at place) {
	if row.Value >= 0 {
		return
	}
	switch row.Quantity {
	case units.Suction:
		l.warn(at.line, at.columns.Value, fmt.Sprintf("the suction %s is negative, that is, above the room's pressure", quote(row.Typed)), "write suction as positive, or use static_pressure")
	case units.PressureDrop:
		l.warn(at.line, at.columns.Value, fmt.Sprintf("the pressure drop %s is negative", quote(row.Typed)), "write a drop as positive")
	}
}

// pointOf is where a quantity is read that can be read nowhere else.
var pointOf = map[units.Quantity]string{
	units.MotorCurrent: FanPoint, units.MotorPower: FanPoint, units.FanSpeed: FanPoint,
	units.AirTemperature: Room, units.Barometer: Room, units.Humidity: Room,
}

// checkPoint holds the pressure drop and the filter together.
func checkPoint(row *Row) *fault {
	if row.Point == "" {
		return nil
	}
	drop := row.Quantity == units.PressureDrop
	if at, ok := pointOf[row.Quantity]; ok && row.Point != at {
		return &fault{fmt.Sprintf("%s is read at the point %q, not at %s", row.Quantity, at, quote(row.Point)), "write " + at + " as the point, or correct the quantity"}
	}
	switch {
	case drop && row.Point != Filter:
		return &fault{fmt.Sprintf("pressure_drop is read at the point %q, not at %s", Filter, quote(row.Point)), "correct the point or the quantity"}
	case !drop && row.Point == Filter:
		return &fault{fmt.Sprintf("at the point %q a pressure_drop is read, not a %s", Filter, row.Quantity), "correct the point or the quantity"}
	}
	return nil
}

// quantityWords are short names that can mean one quantity only.
var quantityWords = map[string]units.Quantity{
	"sp": units.StaticPressure, "vp": units.VelocityPressure, "tp": units.TotalPressure, "dp": units.PressureDrop,
	"cfm": units.FlowRate, "airflow": units.FlowRate, "air_flow": units.FlowRate, "fpm": units.MeanVelocity, "air_speed": units.MeanVelocity,
	"amps": units.MotorCurrent, "watts": units.MotorPower, "rpm": units.FanSpeed, "temp": units.AirTemperature, "rh": units.Humidity,
}

// ShortQuantities are the short names of quantities that are understood, in order.
func ShortQuantities() []string { return slices.Sorted(maps.Keys(quantityWords)) }

// parseQuantity takes names in any case, with blanks or hyphens for the
// underscore, "center" for "centre", and short names that are certain.
func parseQuantity(text string) (units.Quantity, *fault) {
	name := csvtext.FoldName(text)
	if q, ok := quantityWords[name]; ok {
		return q, nil
	}
	if q, ok := units.QuantityNamed(strings.Replace(name, "center_", "centre_", 1)); ok {
		return q, nil
	}
	all := append(units.QuantityNames(), LookNames()...)
	if text == "" {
		return 0, &fault{"it is not said which quantity was read", "write one of " + strings.Join(units.QuantityNames(), ", ") + "; or a look: " + strings.Join(LookNames(), ", ")}
	}
	f := &fault{fmt.Sprintf("the quantity %s is not known", quote(text)), "write one of " + strings.Join(units.QuantityNames(), ", ") + "; or a look: " + strings.Join(LookNames(), ", ")}
	if near, ok := problem.Nearest(name, all); ok {
		f.do = fmt.Sprintf("did you mean %q?", near)
	}
	return 0, f
}

func parsePosition(text string, q units.Quantity) (int, *fault) {
	if text == "" {
		return 0, nil
	}
	if q != units.VelocityPressure && q != units.MeanVelocity {
		return 0, &fault{fmt.Sprintf("a %s has no position", q), "leave position empty; a traverse is of velocity_pressure or velocity"}
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > mostPositions {
		return 0, &fault{fmt.Sprintf("the position %s is not a whole number from 1 to %d", quote(text), mostPositions), "number the positions of a traverse 1, 2, 3 and so on"}
	}
	return n, nil
}
