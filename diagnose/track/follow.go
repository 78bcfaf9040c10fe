package track

import (
	"context"
	"fmt"
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/indicator"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
	"lostair/readings/problem"
)

// Follow follows a system over its surveys: each is fitted against what the
// reference surveys have taught, and what moves is put on control charts. A
// survey without a date is an error. If ctx ends when the charts are made, they come
// with its error.
func Follow(ctx context.Context, sys *duct.System, surveys []*readings.Survey, opt Options) (*History, error) {
	sys, bores := observe.AsMeasured(sys, append(slices.Clone(opt.Baselines), surveys...)...)
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	surveys, empty, err := Holding(surveys)
	if err != nil {
		return nil, err
	}
	surveys, twice := observe.OnlyOnce(opt.Baselines, surveys)
	list, bounds, weak, err := inOrder(m, surveys, opt)
	if err != nil {
		return nil, err
	}
	tr := &History{System: sys, Surveys: list, PerYear: perYear(list[min(len(opt.Baselines), len(list)):])}
	ref := 0
	for ref < len(list) && list[ref].Reference {
		ref++
	}
	t, err := indicator.New(ctx, m, bounds[:ref], bounds)
	if err != nil {
		return nil, err
	}
	gs, err := t.FitAll(ctx, bounds)
	if err != nil {
		return nil, err
	}
	for i, g := range gs {
		tr.Surveys[i].Misfit = g.Misfit
		tr.Surveys[i].Wrong = wrongRows(g)
	}
	(&tracking{t: t, out: tr, gs: gs, ref: ref}).run()
	if tr.Episodes, err = tr.episodes(ctx, t, bounds, gs, ref, opt.Repairs); err == nil {
		err = tr.inFull(ctx, t, bounds, opt.Full)
	}
	tr.Doubts = slices.Concat(empty, twice, weak, observe.BoreDoubts(sys, bores), trackDoubts(tr, ref))
	if ctx.Err() != nil {
		tr.Unfinished = true
		return tr, ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	return tr, nil
}

// Holding leaves out surveys in which nothing was read, and says so; the error is
// that none is left.
func Holding(surveys []*readings.Survey) (some []*readings.Survey, said []fault.Doubt, err error) {
	var empty problem.List
	for _, s := range surveys {
		if r := observe.AllZero(s); r != nil {
			said = append(said, fault.Doubt{Kind: fault.SurveyZero, File: s.File})
			empty = append(empty, problem.Problem{File: s.File, Line: r.Line, Column: r.Columns.Value, What: "every value is zero, so the readings hold nothing",
				Do: "check that the fan ran, the taps were open into the duct, and the instruments were connected"})
			continue
		}
		some = append(some, s)
	}
	if len(some) == 0 {
		err = empty.Err()
	}
	return some, said, err
}

// wrongRows are the rows that a survey's fit has set aside, by line.
func wrongRows(g *indicator.Fit) []WrongRow {
	var out []WrongRow
	for _, w := range g.Wrong {
		x := WrongRow{Row: &g.B.Survey.Rows[g.B.Observation[w.Observation].Rows[0]], Fits: w.Fits, Reason: w.Reason}
		if x.Reason.Kind == fault.NoSlip {
			x.Reason.Kind = fault.SlipUnknown
		}
		out = append(out, x)
	}
	slices.SortStableFunc(out, func(a, b WrongRow) int { return a.Row.Line - b.Row.Line })
	return out
}

// perYear is how often a year the system is surveyed, 1 to 366.
func perYear(list []Survey) float64 {
	n := len(list)
	if n < 2 {
		return 1
	}
	days := list[n-1].Date.Sub(list[0].Date).Hours() / 24
	if days <= 0 {
		return float64(n)
	}
	return min(max(float64(n-1)*365.25/days, 1), 366)
}

// shortHistory is how many surveys after the reference a slow drift takes to be
// seen, about. Common practice, no source.
const shortHistory = 6

// trackDoubts says what weakens the result.
func trackDoubts(t *History, ref int) []fault.Doubt {
	var out []fault.Doubt
	after := len(t.Surveys) - ref
	if after > 0 && after < shortHistory {
		out = append(out, fault.Doubt{Kind: fault.ShortHistory, Count: after})
	}
	if after > 0 && ref < 3 { // that there is nothing to compare is the summary itself
		out = append(out, fault.Doubt{Kind: fault.FewReference, Count: ref})
	}
	misfit := fault.Doubt{Kind: fault.SurveysMisfit}
	for _, s := range t.Surveys[ref:] {
		if s.Misfit > 3 {
			if misfit.Count++; misfit.Count == 1 {
				misfit.File = s.Survey.File
			}
		}
	}
	if misfit.Count > 0 {
		out = append(out, misfit)
	}
	return out
}
