package diagnose

import (
	"context"
	"fmt"
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/problem"
)

// Ranges says for each row of a plan what it should show if nothing is wrong,
// SI, with the range that 90 % of sound systems keep: as built somewhere near
// their page, read with the instrument of the system file. A row that names
// something that the system has not is a problem in file, all of them at once;
// so is a gate setting that can't be solved.
func Ranges(ctx context.Context, sys *duct.System, file string, rows []readings.Row) ([]Interval, error) {
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	plan := &readings.Survey{File: file, Rows: rows}
	for i, r := range rows {
		plan.Readings = append(plan.Readings, readings.Reading{Open: r.Open, Point: r.Point, Quantity: r.Quantity, Count: 1,
			Positions: r.Position, Instrument: r.Instrument, HoseOff: r.HoseOff, Rows: []int{i}})
	}
	b, bad := bind(m, plan)
	if err := bad.Err(); err != nil {
		return nil, err
	}
	pl, err := newPlanner(ctx, m, nil)
	if err != nil {
		return nil, err
	}
	pl.sites = nil // what faults would do is of no interest here
	pl.sound()
	return pl.ranges(ctx, b, rows)
}

// ranges solves each gate setting once.
func (pl *planner) ranges(ctx context.Context, b *bound, rows []readings.Row) ([]Interval, error) {
	byConfig := make([][]int, len(b.configs))
	for i, o := range b.obs {
		byConfig[o.cfg] = append(byConfig[o.cfg], i)
	}
	out := make([]Interval, len(rows))
	st := pl.s.m.NewState()
	for k, list := range byConfig {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		c := b.configs[k]
		if err := st.Solve(&pl.s.coef, c.Config); err != nil {
			row := rows[b.obs[list[0]].rows[0]]
			return nil, problem.List{{File: b.survey.File, Line: row.Line, Column: row.Columns.Open, What: err.Error(), Do: "leave this gate setting out"}}
		}
		st.Prepare()
		offers := make([]offer, len(list))
		for n, i := range list {
			o := &b.obs[i]
			row := &rows[o.rows[0]]
			sp := spotToRead{point: row.Point, q: row.Quantity, probe: o.probe}
			sd := pl.s.newReadingSD(sp, st.Value(sp.probe)) / math.Sqrt2
			offers[n] = pl.offer(st, nextConfig{cfg: c.Config, open: c.open}, sp, 0, sd, sd)
		}
		pl.foresee(offers)
		for n, i := range list {
			out[b.obs[i].rows[0]] = offers[n].stop.Expected
		}
	}
	return out, nil
}
