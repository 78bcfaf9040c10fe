package verify

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/route"
	"lostair/readings"
	"lostair/readings/problem"
)

// Verify holds an install against its design. An error is a problem.List if
// the surveys do not fit the system. If ctx ends first, what was known by then comes
// with its error: a Report that leaves every demand open.
func Verify(ctx context.Context, sys *duct.System, surveys []*readings.Survey, opt Options) (*Report, error) {
	v, err := Verified(ctx, sys, surveys, opt)
	if v == nil {
		return nil, err
	}
	return v.Out, err
}

// Verified is Verify with what the report was worked out from, for who asks further. Nil
// beside an error: nothing was known yet.
func Verified(ctx context.Context, sys *duct.System, surveys []*readings.Survey, opt Options) (*Verification, error) {
	if opt.Tolerance == 0 {
		opt.Tolerance = UsualTolerance
	}
	if opt.Filter == 0 {
		opt.Filter = UsualFilter
	}
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	surveys, twice := observe.OnlyOnce(nil, surveys)
	survey := Together(surveys)
	baselines, asked := observe.Earlier(opt.Baselines, survey)
	opt.Baselines = baselines
	b, bases, err := bindAll(m, survey, surveys, opt)
	if err != nil {
		return nil, err
	}
	built, bores := observe.AsMeasured(sys, append(slices.Clone(opt.Baselines), survey)...)
	mb, bb := m, b
	if built != sys {
		if mb, err = airflow.New(built, airflow.Options{}); err != nil {
			return nil, fmt.Errorf("%s: %w", sys.File, err)
		}
		if bb, bases, err = bindAll(mb, survey, surveys, opt); err != nil {
			return nil, err
		}
	}
	x, err := diagnose.Examine(ctx, mb, bb, bases, fault.NewInstall, opt.Steps)
	out := &Report{System: sys, Survey: survey, Asked: opt.Open, Tolerance: opt.Tolerance, Filter: opt.Filter,
		Density: m.Air.Density, Convey: handbook.ConveyOf(sys), Remarks: append(twice, asked...)}
	for _, x := range surveys {
		out.Files = append(out.Files, x.File)
	}
	v := &Verification{written: m, all: b, opt: opt, Out: out}
	if err == nil {
		x.P.Asked = asked
		if lead := x.P.G.S.M; lead != m { // it may have a branch and a gate that the page lacks
			v.all, _ = observe.Bind(lead, survey)
		}
		v.p, v.S, out.Result = x.P, x.P.G.S, diagnose.ResultOf(x.P, built, survey, opt.Baselines)
		out.Result.Page = append(diagnose.Measured(sys, bores), out.Result.Page...)
		err = v.run(ctx)
	}
	if ctx.Err() != nil {
		out.Result, err = diagnose.Unfinished(x, sys, survey, opt.Baselines), ctx.Err()
	} else if err != nil {
		return nil, err
	}
	out.onlyWritten()
	out.leaveOpen()
	return v, err
}

func (v *Verification) run(ctx context.Context) error {
	m := v.S.M
	v.Sets, v.weights = lookedAt(len(m.Sys.Ports), v.p)
	v.near = v.p.Conditioners(0)
	v.byDesign()
	v.speeds = map[string]map[int]float64{}
	v.trunk, v.Passes = route.Trunks(m.Sys), route.All(m)
	v.read = v.portsRead()
	for i := range m.Sys.Ports {
		if err := ctx.Err(); err != nil {
			return err
		}
		v.port(i)
	}
	for _, c := range v.configs() {
		if err := ctx.Err(); err != nil {
			return err
		}
		v.velocities(c)
	}
	for _, stage := range []func(){v.pressures, v.collector, v.fault, v.carry} {
		if err := ctx.Err(); err != nil {
			return err
		}
		stage()
	}
	v.sizes(v.p.Undersized())
	return nil
}

// lookedAt are the leading sets of faults that are looked at, and their weights.
func lookedAt(ports int, p *weigh.Posterior) ([]*fit.Fit, []float64) {
	sets, weights := p.Leading()
	if ports > manyPorts {
		return sets[:1], []float64{1}
	}
	return sets, weights
}

// leaveOpen leaves every demand open where the readings most likely aren't what
// they say they are: then they decide none.
func (v *Report) leaveOpen() {
	if v.Result.Unlisted <= 0.5 && !v.Result.Unfinished {
		return
	}
	for i := range v.Lines {
		v.Lines[i].Outcome, v.Lines[i].Show = NotShown, nil
	}
}

// bindAll binds the surveys, each by itself for the sake of its problems, and all as one.
func bindAll(m *airflow.Model, one *readings.Survey, surveys []*readings.Survey, opt Options) (*observe.Bound, []*observe.Bound, error) {
	var bad problem.List
	for _, s := range surveys {
		_, more := doubt.BindTrusted(m, s)
		bad = append(bad, more...)
	}
	var bases []*observe.Bound
	for _, s := range opt.Baselines {
		x, more := doubt.BindTrusted(m, s)
		bases, bad = append(bases, x), append(bad, more...)
	}
	for _, o := range opt.Open {
		for _, g := range o.Gates {
			if _, ok := m.GateIndex(g); !ok {
				bad = append(bad, observe.Unknown(m.Sys.File, 0, 0, "gate", g, m.Sys.Gates()))
			}
		}
	}
	if err := bad.Err(); err != nil {
		return nil, nil, err
	}
	b, _ := observe.Bind(m, one)
	if len(b.Observation) == 0 {
		return nil, nil, problem.List{{File: one.File, What: "there is no reading in it", Do: "fill in the survey first"}}
	}
	return b, bases, nil
}

// Together makes one survey of several.
func Together(list []*readings.Survey) *readings.Survey {
	if len(list) == 1 {
		return list[0]
	}
	out := &readings.Survey{}
	var files []string
	for _, s := range list {
		files = append(files, s.File)
		first := len(out.Rows)
		out.Rows = append(out.Rows, s.Rows...)
		for _, r := range s.Readings {
			rows := make([]int, len(r.Rows))
			for i, x := range r.Rows {
				rows[i] = first + x
			}
			r.Rows = rows
			out.Readings = append(out.Readings, r)
		}
		out.Looks, out.Air = append(out.Looks, s.Looks...), append(out.Air, s.Air...)
	}
	out.File = strings.Join(files, ", ")
	return out
}
