package round

import (
	"cmp"
	"context"
	"math"
	"slices"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/diagnose/repair"
	"lostair/readings"
	"lostair/readings/units"
)

// mostProof is how many readings prove a repair.
const mostProof = 3

// Remedy is the first thing to do; nil: nothing is.
func (r *Round) Remedy() *diagnose.Fix {
	if r.Standing == nil || len(r.Standing.Fixes) == 0 {
		return nil
	}
	return &r.Standing.Fixes[0]
}

// Mends is what the remedy mends, likeliest first, those like it included.
func (r *Round) Mends() (fault.Candidate, bool) {
	fix := r.Remedy()
	if fix == nil || len(fix.For) == 0 {
		return fault.Candidate{}, false
	}
	return fix.For[0], true
}

// Proof are the readings to take again when the remedy is done, with what they
// should show then: those that spoke loudest for the fault, and the air at the port
// that was said to be weak. after is the survey after the repair, so far; left is what
// its file says is not to be asked.
func (r *Round) Proof(after *readings.Survey, left ...Left) []Question {
	out := r.proofs()
	var last *readings.Row
	if after != nil && len(after.Rows) > 0 {
		last = &after.Rows[len(after.Rows)-1]
	}
	open := out[:0]
	for _, q := range out {
		if slices.ContainsFunc(left, func(l Left) bool { return l.covers(&q.Row) }) {
			continue
		}
		if after != nil && slices.ContainsFunc(after.Rows, func(x readings.Row) bool { return KeyOf(&x) == q.Key() }) {
			continue
		}
		q.moves(r.System, last)
		open, last = append(open, q), &q.Row
	}
	r.mended(open)
	return open
}

// proofs are such readings, what was read again since among them, with what a sound
// system shows give or take the reading's own error.
func (r *Round) proofs() []Question {
	var out []Question
	for _, e := range r.loudest() {
		c := &r.Standing.Checks[e.Reading]
		row := r.Survey.Rows[c.Reading.Rows[0]]
		q := Question{Row: readings.Row{Open: row.Open, Point: row.Point, Quantity: row.Quantity, Instrument: row.Instrument, HoseOff: row.HoseOff, Value: math.NaN()}, HasSound: true,
			Sound: fault.Interval{Value: e.Sound, Low: e.Sound - 1.645*e.Sigma, High: e.Sound + 1.645*e.Sigma}, Minutes: 2,
			For: SpokeForIt}
		if !slices.ContainsFunc(out, func(x Question) bool { return x.Key() == q.Key() }) {
			out = append(out, q)
		}
	}
	slices.SortStableFunc(out, func(a, b Question) int { return cmp.Compare(b.rank(r), a.rank(r)) })
	out = out[:min(len(out), mostProof)]
	slices.SortStableFunc(out, func(a, b Question) int { return cmp.Compare(a.Row.Open.String(), b.Row.Open.String()) })
	return out
}

// mended fills in what proofs should show, as wide as the readings so far leave it
// open: those that the fault hid behind are known from the page alone.
func (r *Round) mended(list []Question) {
	if len(list) == 0 { // there may be no remedy
		return
	}
	rows := make([]readings.Row, len(list))
	for i := range list {
		rows[i] = list[i].Row
	}
	ranges, err := r.Standing.Mended(rows, r.Remedy().For)
	if err != nil || len(ranges) == 0 {
		return // then it is what a sound system would have shown, give or take the reading's error
	}
	for i := range list {
		list[i].Sound = ranges[i]
	}
}

// Provable says whether there is a remedy, and readings that can prove it.
func (r *Round) Provable() bool { return r.Remedy() != nil && len(r.proofs()) > 0 }

// rank puts the air at the weak port first.
func (q *Question) rank(r *Round) int {
	if r.Complaint.Kind == WeakPort && q.Row.Point == r.Complaint.Port && q.Row.Quantity.Dimension() != units.Pressure {
		return 1
	}
	return 0
}

// loudest is the evidence for what the remedy mends, strongest first.
func (r *Round) loudest() []diagnose.Evidence {
	first, ok := r.Mends()
	if !ok {
		return nil
	}
	for i := range r.Standing.Faults {
		f := &r.Standing.Faults[i]
		if f.Kind == first.Kind && (f.Where == first.Where || slices.ContainsFunc(f.Alike, func(c fault.Candidate) bool { return c.Where == first.Where })) {
			return f.Evidence
		}
	}
	return nil
}

// Proved is what a repair has brought.
type Proved struct {
	Cause    fault.Candidate
	Improved float64 // chance that a fault is gone, or less bad
	Ports    []repair.Port
}

// Prove compares the survey with the one after the repair.
func (r *Round) Prove(ctx context.Context, after *readings.Survey) (*Proved, error) {
	x, err := repair.Compare(ctx, r.System, r.Survey, after, repair.Options{Baselines: r.Baselines})
	if err != nil {
		return nil, err
	}
	out := &Proved{Improved: x.Improved, Ports: x.Ports}
	out.Cause, _ = r.Mends()
	return out, nil
}

// Best is the port that gained most for sure; of a complaint about one, that port.
func (p *Proved) Best(c Complaint) (repair.Port, bool) {
	best, found := repair.Port{}, false
	for _, x := range p.Ports {
		if c.Kind == WeakPort && x.Port == c.Port {
			return x, true
		}
		if !found || x.Ratio.Low > best.Ratio.Low {
			best, found = x, true
		}
	}
	return best, found
}
