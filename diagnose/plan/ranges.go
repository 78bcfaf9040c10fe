package plan

import (
	"context"
	"fmt"
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
	"lostair/readings/problem"
)

// Ranges says for each row of a plan what it should show if nothing is wrong,
// SI, with the range that 90 % of sound systems keep: as built somewhere near
// their page, read with the instrument of the system file. A row that names
// something that the system has not is a problem in file, all of them at once;
// so is a gate setting that can't be solved.
func Ranges(ctx context.Context, sys *duct.System, file string, rows []readings.Row) ([]fault.Interval, error) {
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	plan := &readings.Survey{File: file, Rows: rows}
	for i, r := range rows {
		if r.Look != "" || r.Quantity.OfAir() {
			continue // what it shows is not the system's
		}
		plan.Readings = append(plan.Readings, readings.Reading{Open: r.Open, Point: r.Point, Quantity: r.Quantity, Count: 1,
			Positions: r.Position, Instrument: r.Instrument, HoseOff: r.HoseOff, Rows: []int{i}})
	}
	b, bad := observe.Bind(m, plan)
	if err := bad.Err(); err != nil {
		return nil, err
	}
	pl, err := newPlanner(ctx, m, nil)
	if err != nil {
		return nil, err
	}
	pl.Sites = nil // what faults would do is of no interest here
	pl.Sound()
	return pl.ranges(ctx, b, rows)
}

// ranges solves each gate setting once.
func (pl *Planner) ranges(ctx context.Context, b *observe.Bound, rows []readings.Row) ([]fault.Interval, error) {
	byConfig := make([][]int, len(b.Configs))
	for i, o := range b.Observation {
		byConfig[o.Cfg] = append(byConfig[o.Cfg], i)
	}
	out := make([]fault.Interval, len(rows))
	st := pl.S.M.NewState()
	for k, list := range byConfig {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		c := b.Configs[k]
		if err := st.Solve(&pl.S.Coef, c.Config); err != nil {
			row := rows[b.Observation[list[0]].Rows[0]]
			return nil, problem.List{{File: b.Survey.File, Line: row.Line, Column: row.Columns.Open, What: err.Error(), Do: "leave this gate setting out"}}
		}
		st.Prepare()
		offers := make([]Offer, len(list))
		for n, i := range list {
			o := &b.Observation[i]
			row := &rows[o.Rows[0]]
			sp := SpotToRead{Point: row.Point, Q: row.Quantity, Probe: o.Probe}
			sd := NewReadingSD(pl.S, sp, st.Value(sp.Probe)) / math.Sqrt2
			fresh := sd
			if o.AxisIx >= 0 {
				fresh = math.Hypot(sd, asbuilt.ProfileError*fit.ProfilePower(o)*st.Value(sp.Probe))
			}
			offers[n] = pl.Offer(st, NextConfig{Cfg: c.Config, Open: c.Open}, sp, 0, sd, fresh)
		}
		pl.Foresee(offers)
		for n, i := range list {
			out[b.Observation[i].Rows[0]] = offers[n].Stop.Expected
		}
	}
	return out, nil
}
