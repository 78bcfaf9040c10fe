package track

import (
	"context"
	"fmt"
	"slices"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/indicator"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/internal/weigh"
	"lostair/readings"
)

// mostOnsets is how many surveys in which something was first seen are diagnosed in full.
const mostOnsets = 4

// worthFull are the surveys to be diagnosed in full: the n newest, and those in
// which something other than a flow was first seen, which say what it is while
// it is still alone.
func (tr *History) worthFull(n int) []int {
	if n < 0 {
		return nil
	}
	if n == 0 {
		n = 1
	}
	var out []int
	for _, x := range tr.Signals {
		if tr.Series[x.Series].Gauge != FlowShare && len(out) < mostOnsets && !slices.Contains(out, x.Survey) {
			out = append(out, x.Survey)
		}
	}
	for i := max(len(tr.Surveys)-n, 0); i < len(tr.Surveys); i++ {
		if !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	slices.Sort(out)
	return out
}

// inFull diagnoses surveys against the reference.
func (tr *History) inFull(ctx context.Context, t *indicator.Tracker, bounds []*observe.Bound, n int) error {
	for _, i := range tr.worthFull(n) {
		if tr.Surveys[i].Reference {
			continue
		}
		s := t.Against(bounds[i])
		g, err := search.SearchAll(s, ctx, observe.Seen(fault.Sites(t.M), bounds[i].Looks), nil, nil)
		if err != nil {
			return fmt.Errorf("%s: the model could not be solved: %w", tr.Surveys[i].Survey.File, err)
		}
		var base []*readings.Survey
		for _, x := range tr.Surveys {
			if x.Reference {
				base = append(base, x.Survey)
			}
		}
		tr.Surveys[i].Result = diagnose.ResultOf(weigh.PosteriorOf(g, doubt.UnlistedEvidence(s, g.Sound)), tr.System, tr.Surveys[i].Survey, base)
	}
	return nil
}
