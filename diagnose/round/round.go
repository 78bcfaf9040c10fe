package round

import (
	"context"
	"math"
	"slices"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/plan"
	"lostair/readings"
	"lostair/readings/units"
)

// Situation is what a round starts from.
type Situation struct {
	System    *duct.System
	Survey    *readings.Survey // what was written down so far; nil: nothing
	Baselines []*readings.Survey
	Complaint Complaint
	Left      []Left
	Standing  *diagnose.Standing // the diagnosis of Survey, if it was worked out already
	Planned   []readings.Row     // what to read if nothing else is asked; nil: worked out at need
}

// Round is a round as it stands.
type Round struct {
	Situation
}

// Begin works out where a round stands. An error is a problem.List if the readings
// don't fit the system.
func Begin(ctx context.Context, s Situation) (*Round, error) {
	if s.Survey == nil {
		s.Survey = &readings.Survey{}
	}
	r := &Round{Situation: s}
	if s.Complaint.looksAround() {
		if err := r.makePlan(ctx); err != nil {
			return r, err
		}
	}
	if s.Standing != nil || len(s.Survey.Readings) == 0 {
		return r, diagnose.Fits(s.System, s.Survey).Err()
	}
	var err error
	r.Standing, err = diagnose.Stand(ctx, s.System, s.Survey, diagnose.Options{Baselines: s.Baselines, Job: s.Complaint.job()})
	return r, err
}

// makePlan works out what to read all around, if nobody has.
func (r *Round) makePlan(ctx context.Context) (err error) {
	if r.Planned == nil {
		r.Planned, err = Around(ctx, r.System)
	}
	return err
}

// leftOut is whether a row is not to be asked. Who has skipped a point twice is not
// asked for it with other gates.
func (r *Round) leftOut(x *readings.Row) bool {
	skips := 0
	for _, l := range r.Left {
		if l.covers(x) {
			return true
		}
		if l.at() == x.Point {
			skips++
		}
	}
	return skips >= mostSkips
}

// mostSkips is how often a point is asked for that is skipped each time.
const mostSkips = 2

// read is whether a row stands in the survey.
func (r *Round) read(x *readings.Row) bool {
	k := KeyOf(x)
	same := func(y readings.Row) bool { return KeyOf(&y) == k }
	return slices.ContainsFunc(r.Survey.Rows, same) || slices.ContainsFunc(r.Survey.Looks, same)
}

// Last is the row written last whose gates matter; nil: there is none.
func (r *Round) Last() *readings.Row {
	if n := len(r.Survey.Rows); n > 0 {
		return &r.Survey.Rows[n-1]
	}
	return nil
}

// reading is the question for a reading.
func (r *Round) reading(open readings.Open, point string, q units.Quantity, why Purpose) Question {
	minutes := plan.MinutesTap
	if q.Dimension() != units.Pressure {
		minutes = plan.MinutesMouth
	}
	return Question{Row: readings.Row{Open: open, Point: point, Quantity: q, Value: math.NaN(), Instrument: instrumentFor(r.System, q)}, For: why, Minutes: minutes}
}

// Wanted is the question for a reading that a person asks to take.
func (r *Round) Wanted(ctx context.Context, row readings.Row) (Question, error) {
	row.Value = math.NaN()
	if row.Instrument == "" && row.Look == "" {
		row.Instrument = instrumentFor(r.System, row.Quantity)
	}
	list := []Question{{Row: row, Again: r.read(&row)}}
	list[0].moves(r.System, r.Last())
	err := r.sound(ctx, list)
	return list[0], err
}

// sound fills in what sound systems show, where it is missing.
func (r *Round) sound(ctx context.Context, list []Question) error {
	var rows []readings.Row
	var at []int
	for i, q := range list {
		if q.Row.Look == "" && !q.HasSound && q.NewTap == nil {
			rows, at = append(rows, q.Row), append(at, i)
		}
	}
	if len(rows) == 0 {
		return nil
	}
	e, err := r.ranges(ctx, rows)
	if err != nil {
		return err
	}
	for k, i := range at {
		list[i].Sound, list[i].HasSound = e[k], true
	}
	return nil
}

// ranges says what sound systems show, by the page and the baselines.
func (r *Round) ranges(ctx context.Context, rows []readings.Row) ([]fault.Interval, error) {
	if r.Standing != nil {
		return r.Standing.SoundRanges(ctx, rows)
	}
	return plan.Ranges(ctx, r.System, r.System.File, rows, r.Baselines...)
}
