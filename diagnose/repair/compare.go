package repair

import (
	"context"
	"fmt"
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/track"
	"lostair/readings"
	"lostair/readings/problem"
)

// Compare says what changed between two surveys.
//
// Both are judged as one: what they have in common is how the system was built,
// or a fault that is still there; what differs is the repair, the filter, or the day.
func Compare(ctx context.Context, sys *duct.System, first, second *readings.Survey, opt Options) (*Repair, error) {
	for _, s := range []*readings.Survey{first, second} {
		if _, _, err := track.Holding([]*readings.Survey{s}); err != nil {
			return nil, err
		}
	}
	sys, bores := observe.AsMeasured(sys, append(slices.Clone(opt.Baselines), first, second)...)
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	ss := fault.Sites(m)
	if err := checkPlace(sys, ss, opt); err != nil {
		return nil, err
	}
	slip := unitSlip(m, first, second)
	first, second = slip.mended(first), slip.mended(second)
	p, err := pairOf(ctx, m, first, second, opt.Baselines)
	if err != nil {
		return nil, err
	}
	c := &comparison{m: m, p: p, sites: ss, opt: opt}
	if err := c.search(ctx); err != nil {
		return nil, err
	}
	r := &Repair{System: sys, Before: first, After: second, Baselines: opt.Baselines, Place: opt.Place, Same: sameReadings(first, second),
		Copied: observe.SameSurvey(first, second) || observe.Copied(first, second)}
	r.Slip, r.Doubts = slip, observe.BoreDoubts(sys, bores)
	a, aok := readings.DateOf(first)
	b, bok := readings.DateOf(second)
	r.Backwards = aok && bok && b.Before(a)
	c.judge(r)
	c.flows(r)
	r.Wrong = c.wrongRows(0)
	r.WrongBefore = len(r.Wrong)
	r.Wrong = append(r.Wrong, c.wrongRows(1)...)
	return r, nil
}

// checkPlace: something must be able to be wrong there.
func checkPlace(sys *duct.System, ss []*fault.Site, opt Options) error {
	var known []string
	for _, s := range ss {
		if (!opt.Leak || s.Kind == fault.Leak) && !slices.Contains(known, s.Where) {
			known = append(known, s.Where)
		}
	}
	if opt.Place == "" || slices.Contains(known, opt.Place) {
		return nil
	}
	what := "place"
	if opt.Leak {
		what = "duct"
	}
	return problem.List{observe.Unknown(sys.File, 0, 0, what, opt.Place, known)}
}

func pairOf(ctx context.Context, m *airflow.Model, first, second *readings.Survey, baselines []*readings.Survey) (*fit.Pair, error) {
	var bad problem.List
	var all []*observe.Bound
	for _, s := range append([]*readings.Survey{first, second}, baselines...) {
		b, more := doubt.BindTrusted(m, s)
		if len(more) == 0 && len(b.Observation) == 0 {
			more = problem.List{{File: s.File, What: "there is no reading in it", Do: "fill it in"}}
		}
		all, bad = append(all, b), append(bad, more...)
	}
	if err := bad.Err(); err != nil {
		return nil, err
	}
	u := asbuilt.NewUnknowns(m)
	l := fit.NewLayout(u, all...)
	shared, err := search.LearnAll(ctx, m, u, l, all[2:])
	if err != nil {
		return nil, err
	}
	return fit.NewPair(fit.NewStudy(m, u, l, all[0], shared), fit.NewStudy(m, u, l, all[1], shared), shared), nil
}

// sameReadings counts the readings that both surveys have.
func sameReadings(a, b *readings.Survey) int {
	type key struct{ open, point, quantity string }
	have := map[key]bool{}
	for _, r := range a.Readings {
		have[key{r.Open.String(), r.Point, r.Quantity.String()}] = true
	}
	n := 0
	for _, r := range b.Readings {
		if have[key{r.Open.String(), r.Point, r.Quantity.String()}] {
			n++
		}
	}
	return n
}
