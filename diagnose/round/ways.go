package round

import (
	"cmp"
	"context"
	"slices"

	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/units"
)

// Way is a way to read a place other than the one that is asked for.
type Way uint8

// The ways.
const (
	HoseOff Way = iota // the machine unhooked, at the open end of its duct
	Pitot              // velocity pressure in the middle, in place of air speed
)

// Ways lists the ways.
func Ways() []Way { return []Way{HoseOff, Pitot} }

// Of is the row that reads the same place in that way; false: there is none.
func (w Way) Of(sys *duct.System, row readings.Row) (readings.Row, bool) {
	switch w {
	case HoseOff:
		p, ok := sys.PortNamed(row.Point)
		if !ok || row.Look != "" || slices.Contains(row.HoseOff, row.Point) || !unhooks(&sys.Ports[p]) {
			return row, false
		}
		row.HoseOff = append(slices.Clone(row.HoseOff), row.Point)
	case Pitot:
		if row.Look != "" || row.Quantity.Dimension() != units.Velocity {
			return row, false
		}
		row.Quantity = units.VelocityPressure
	}
	row.Instrument = ""
	return row, true
}

// unhooks is whether there is a machine to unhook: a floor sweep has none.
func unhooks(p *duct.Port) bool { return p.Hood != "plain" || p.Opening != nil }

// Otherwise asks for the same place read in another way; false: there is no such way.
func (r *Round) Otherwise(ctx context.Context, q *Question, w Way) (Question, bool, error) {
	row, ok := w.Of(r.System, q.Row)
	if !ok {
		return *q, false, nil
	}
	out, err := r.Wanted(ctx, row)
	if err != nil {
		return *q, false, err
	}
	return q.With(out), true, nil
}

// With is another question in the place of this one, and for what this one was for.
func (q *Question) With(other Question) Question {
	other.Moves = other.Moves || q.Moves
	other.For, other.Tells, other.Instead = q.For, q.Tells, q.Instead
	if other.Instead == "" {
		other.Instead = q.Key()
	}
	return other
}

// Skip leaves the question out, and with it the one in whose place it is asked.
func (q *Question) Skip() Left { return Left{Key: cmp.Or(q.Instead, q.Key()), Why: Skipped} }

// Written is the text of a readings file with the row that answers the question. What
// the question was asked in place of is then not asked any more.
func (q *Question) Written(was []byte, row readings.Row, sys units.System) ([]byte, error) {
	is, err := readings.Append(was, row, sys)
	if err == nil && q.Instead != "" {
		is = readings.AppendComment(is, q.Skip().String())
	}
	return is, err
}
