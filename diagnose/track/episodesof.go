package track

import (
	"context"
	"sort"

	"lostair/diagnose/internal/indicator"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/story"
	"lostair/readings/repairs"
)

// episodes are the story of the history, with the repairs that ended them.
func (tr *History) episodes(ctx context.Context, t *indicator.Tracker, bounds []*observe.Bound, gs []*indicator.Fit, ref int, log []repairs.Repair) ([]Episode, error) {
	wrong := make([][]int, len(bounds))
	for i, g := range gs {
		for _, w := range g.Wrong {
			wrong[i] = append(wrong[i], w.Observation)
		}
	}
	told, err := story.Tell(ctx, t, bounds, wrong, ref)
	if err != nil {
		return nil, err
	}
	var out []Episode
	for _, e := range told {
		out = append(out, Episode{Candidate: e.Candidate, Alike: e.Alike, Together: e.Together, From: Moment(e.From), To: (*Moment)(e.To),
			Severity: e.Severity, Dimension: e.Dimension, Grew: e.Grew, Fell: e.Fell})
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].From.Survey < out[b].From.Survey })
	for i := range out {
		tr.ended(&out[i], log)
	}
	return out, nil
}

// ended says what ended an episode: a repair logged between the last survey that
// shows it and the first without, at its place or one like it.
func (tr *History) ended(e *Episode, log []repairs.Repair) {
	if e.To == nil {
		return
	}
	e.EndedBy = "unknown"
	after, until := tr.Surveys[e.To.Survey-1].Date, tr.Surveys[e.To.Survey].Date
	for i := range log {
		r := &log[i]
		if r.Date.Before(after) || r.Date.After(until) || !e.touches(r.Where) {
			continue
		}
		e.EndedBy, e.Repair = "repair", r
	}
}

// touches is whether a repair at a place can have ended the episode.
func (e *Episode) touches(where string) bool {
	if where == "" || where == e.Where {
		return true
	}
	for _, a := range e.Alike {
		if a.Where == where {
			return true
		}
	}
	return false
}
