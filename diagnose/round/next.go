package round

import (
	"context"
	"math"
	"slices"

	"lostair/diagnose/next"
	"lostair/readings"
)

// Enough says whether more readings are worth their minutes. A round that has read
// nothing knows nothing, and one from a complaint asks its first questions first. One
// that looks around has looked at all that was planned before it finds nothing: what
// was not read shows no fault. It ends after mostAround answers whatever is open, since
// nobody complains. What can't be read is not waited for.
func (r *Round) Enough() next.Enough {
	if r.Standing == nil || len(r.openers()) > 0 && r.Complaint.Kind == WeakPort {
		return next.Enough{Risk: 1}
	}
	e := r.Standing.Enough
	e.Yes = e.Yes || len(r.Standing.Next) > 0 && !slices.ContainsFunc(r.diagnosed(), func(q Question) bool { return q.pays && !r.leftOut(&q.Row) })
	if r.Complaint.looksAround() && r.findsNothing() {
		e.Yes = e.Yes && len(r.unread()) == 0 || len(r.Survey.Rows)+len(r.Survey.Looks) >= mostAround
	}
	return e
}

// findsNothing is whether what was read so far speaks for no fault.
func (r *Round) findsNothing() bool {
	return r.Standing.Enough.Act == nil && r.Standing.Broken < 0.5
}

// mostAround is how many answers a round takes at most that looks around and finds
// nothing. Own choice.
const mostAround = 10

// Questions are what to ask next and, for who goes on without waiting, after that:
// at most n. None: there is nothing more that can be read and would tell much.
func (r *Round) Questions(ctx context.Context, n int) ([]Question, error) {
	list := r.openers()
	if r.Standing != nil {
		if r.Complaint.looksAround() && r.findsNothing() {
			list = append(list, r.unread()...)
		}
		list = append(list, r.diagnosed()...)
	}
	if len(list) < n {
		if err := r.makePlan(ctx); err != nil {
			return nil, err
		}
		list = append(list, r.unread()...)
	}
	var out []Question
	seen := map[string]bool{}
	last := r.Last()
	for _, q := range list {
		if k := q.Key(); seen[k] || r.leftOut(&q.Row) || len(out) == n {
			continue
		} else {
			seen[k] = true
		}
		q.moves(r.System, last)
		out = append(out, q)
		last = &out[len(out)-1].Row
	}
	return out, r.sound(ctx, out)
}

// diagnosed are the diagnosis' own questions. A hole to be drilled comes last.
func (r *Round) diagnosed() []Question {
	var out, holes []Question
	for _, n := range r.Standing.Next {
		q := Question{Row: readings.Row{Open: n.Open, Point: n.Point, Quantity: n.Quantity, Look: n.LookAt, HoseOff: n.HoseOff, Value: math.NaN()},
			Sound: n.Range, Tells: n.Tells, Minutes: n.Minutes, Again: n.Again, NewTap: n.NewTap, pays: n.Pays}
		q.HasSound = n.LookAt == "" && n.Range.Low < n.Range.High
		if n.LookAt == "" {
			q.Row.Instrument = instrumentFor(r.System, n.Quantity)
		}
		if n.NewTap != nil {
			holes = append(holes, q)
			continue
		}
		out = append(out, q)
	}
	return append(out, holes...)
}
