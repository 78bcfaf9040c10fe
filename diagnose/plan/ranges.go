package plan

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
	"lostair/readings/problem"
)

// Bounds of a round, so that a plant of thousands of ports takes neither minutes nor
// gigabytes. Own choice; a day's round has some dozens of readings.
const (
	mostRows   = 20_000
	mostSolved = 30_000_000 // settings of the gates, times ducts: each is solved on all ducts
)

// Ranges says for each row of a plan what it should show if nothing is wrong,
// SI, with the range that 90 % of sound systems keep: as built somewhere near
// their page, read with the instrument of the system file. A row that names
// something that the system has not is a problem in file, all of them at once;
// so is a gate setting that can't be solved, and a round beyond all use.
// Baselines are earlier surveys of the same system when it was sound: with them it is
// the range that this system keeps.
func Ranges(ctx context.Context, sys *duct.System, file string, rows []readings.Row, baselines ...*readings.Survey) ([]fault.Interval, error) {
	return foretell(ctx, sys, file, rows, true, baselines)
}

// Values is as Ranges, for less work: low and high are not known, and NaN.
func Values(ctx context.Context, sys *duct.System, file string, rows []readings.Row) ([]fault.Interval, error) {
	return foretell(ctx, sys, file, rows, false, nil)
}

func foretell(ctx context.Context, sys *duct.System, file string, rows []readings.Row, ranged bool, baselines []*readings.Survey) ([]fault.Interval, error) {
	if err := bounded(sys, file, rows).Err(); err != nil {
		return nil, err
	}
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	b, err := bindRows(m, file, rows)
	if err != nil {
		return nil, err
	}
	pl, err := newPlanner(ctx, m, baselines)
	if err != nil {
		return nil, err
	}
	return pl.ranges(ctx, b, rows, ranged)
}

// Ranges is as the function, by what the planner knows of the system, which it then
// keeps no places of faults for.
func (pl *Planner) Ranges(ctx context.Context, rows []readings.Row) ([]fault.Interval, error) {
	file := pl.S.M.Sys.File
	if err := bounded(pl.S.M.Sys, file, rows).Err(); err != nil {
		return nil, err
	}
	b, err := bindRows(pl.S.M, file, rows)
	if err != nil {
		return nil, err
	}
	return pl.ranges(ctx, b, rows, true)
}

// bindRows finds the rows of a plan in the model.
func bindRows(m *airflow.Model, file string, rows []readings.Row) (*observe.Bound, error) {
	plan := &readings.Survey{File: file, Rows: rows}
	for i, r := range rows {
		if r.Look != "" || r.Quantity.OfAir() {
			continue // what it shows is not the system's
		}
		plan.Readings = append(plan.Readings, readings.Reading{Open: r.Open, Point: r.Point, Quantity: r.Quantity, Count: 1,
			Positions: r.Position, Instrument: r.Instrument, HoseOff: r.HoseOff, Rows: []int{i}})
	}
	b, bad := observe.BindRound(m, plan)
	return b, bad.Err()
}

// bounded says what is too much of a round.
func bounded(sys *duct.System, file string, rows []readings.Row) (out problem.List) {
	do := "take a shorter round, as a plan chooses it, or split the plant into its duct systems"
	if n := len(rows); n > mostRows {
		return problem.List{{File: file, What: fmt.Sprintf("the round has %d readings, more than %d", n, mostRows), Do: do}}
	}
	settings := map[string]bool{}
	for i := range rows {
		settings[rows[i].Open.String()+"\x00"+strings.Join(rows[i].HoseOff, "+")] = true
	}
	if n, most := len(settings), mostSolved/max(len(sys.Ducts), 1); n > most {
		return problem.List{{File: file, What: fmt.Sprintf("the round sets the gates in %d ways, more than %d in a plant of %d ducts", n, most, len(sys.Ducts)), Do: do}}
	}
	return nil
}

// ranges solves each gate setting once, each worker its own share of them.
func (pl *Planner) ranges(ctx context.Context, b *observe.Bound, rows []readings.Row, ranged bool) ([]fault.Interval, error) {
	pl.Sites = nil // what faults would do is of no interest here
	pl.Sound()
	byConfig := make([][]int, len(b.Configs))
	for i, o := range b.Observation {
		byConfig[o.Cfg] = append(byConfig[o.Cfg], i)
	}
	out := make([]fault.Interval, len(rows))
	var failed [numeric.Workers]struct {
		at  int
		err error
	}
	numeric.OnEachWorker(func(w int) {
		own := pl.twin()
		st := own.S.M.NewState()
		for k := w; k < len(byConfig); k += numeric.Workers {
			if err := own.setting(ctx, st, b, k, byConfig[k], rows, out, ranged); err != nil {
				failed[w].at, failed[w].err = k, err
				return
			}
		}
	})
	var err error
	first := len(byConfig)
	for _, f := range failed {
		if f.err != nil && f.at < first {
			first, err = f.at, f.err
		}
	}
	return out, err
}

// twin can work beside pl: what it writes to is its own.
func (pl *Planner) twin() *Planner {
	own, study := *pl, *pl.S
	study.Grad = study.M.NewGradient()
	own.S = &study
	return &own
}

// atOnce is how many readings of one setting are looked at together: each takes a row
// of all parameters.
const atOnce = 256

// setting sets the ranges of the rows that are read in one setting.
func (pl *Planner) setting(ctx context.Context, st *airflow.State, b *observe.Bound, k int, list []int, rows []readings.Row, out []fault.Interval, ranged bool) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	c := b.Configs[k]
	if err := st.Solve(&pl.S.Coef, c.Config); err != nil {
		row := rows[b.Observation[list[0]].Rows[0]]
		return problem.List{{File: b.Survey.File, Line: row.Line, Column: row.Columns.Open, What: err.Error(), Do: "leave this gate setting out"}}
	}
	if !ranged {
		for _, i := range list {
			o := &b.Observation[i]
			out[o.Rows[0]] = fault.Interval{Value: st.Value(o.Probe), Low: math.NaN(), High: math.NaN()}
		}
		return nil
	}
	st.Prepare()
	for some := range slices.Chunk(list, atOnce) {
		if err := ctx.Err(); err != nil {
			return err
		}
		offers := make([]Offer, len(some))
		for n, i := range some {
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
		for n, i := range some {
			out[b.Observation[i].Rows[0]] = offers[n].Stop.Expected
		}
	}
	return nil
}
