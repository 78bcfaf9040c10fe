package diagnose

import (
	"context"
	"slices"
	"sync"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/plan"
	"lostair/readings"
)

// Standing is a diagnosis that can be asked what a further reading should show.
type Standing struct {
	*Result
	p  *weigh.Posterior
	mu sync.Mutex // guards the posterior's study
}

// Foretold is what one explanation of the readings so far says that a further
// reading shows: normal, SI.
type Foretold struct {
	Weight   float64 // chance of the explanation; all of one reading sum to one
	Mean, Sd float64
}

// Foretell says for each row, whose value is of no interest, what the likely
// explanations of the readings so far say that it shows. A row that names what
// the system has not is a problem. A row that can't be solved gets none.
func (s *Standing) Foretell(rows []readings.Row) ([][]Foretold, error) {
	out := make([][]Foretold, len(rows))
	err := s.foretell(rows, foretelling(s.p), nil, func(row int, x Foretold) { out[row] = append(out[row], x) })
	return out, err
}

// Mended says of each row what nine in ten systems show there once the cause is mended,
// that the readings so far are of: SI, the reading's own error included. Nil if no likely
// explanation has the cause. Errors are those of Foretell.
func (s *Standing) Mended(rows []readings.Row, cause []fault.Candidate) ([]fault.Interval, error) {
	if s.p == nil {
		return nil, nil
	}
	g := s.p.G
	mended := func(v *fault.Variant) bool {
		t := g.Sites[v.Site]
		return slices.ContainsFunc(cause, func(c fault.Candidate) bool { return c.Kind == t.Kind && c.Where == t.Where })
	}
	var sets []rival
	for _, x := range foretelling(s.p) {
		if slices.ContainsFunc(x.fit.Faults, mended) {
			sets = append(sets, x)
		}
	}
	if len(sets) == 0 {
		return nil, nil
	}
	mix := make([]numeric.Mixture, len(rows))
	err := s.foretell(rows, sets, mended, func(row int, x Foretold) { mix[row].Add(x.Weight, x.Mean, x.Sd) })
	if err != nil {
		return nil, err
	}
	out := make([]fault.Interval, len(rows))
	for i := range mix {
		if len(mix[i].W) == 0 {
			return nil, nil
		}
		out[i] = fault.Interval{Value: mix[i].Quantile(0.5), Low: mix[i].Quantile(0.05), High: mix[i].Quantile(0.95)}
	}
	return out, nil
}

// foretell hands over what each of the sets says of each row, once what mended says is mended.
func (s *Standing) foretell(rows []readings.Row, sets []rival, mended func(*fault.Variant) bool, take func(row int, x Foretold)) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	b, err := yetToRead(s.p.G.S.M, rows)
	if err != nil {
		return err
	}
	st := s.p.G.S.M.NewState()
	for _, o := range b.Observation {
		row := o.Rows[0]
		spot := plan.SpotToRead{Point: rows[row].Point, Q: rows[row].Quantity, Probe: o.Probe}
		for _, x := range sets {
			if est := foretoldWithout(s.p.G.S, st, x.fit, mended, b.Configs[o.Cfg].Config, []plan.SpotToRead{spot}); est != nil {
				take(row, Foretold{x.weight, est[0].Mean, est[0].Sd})
			}
		}
	}
	return nil
}

// foretelling are the sets that foretell a reading: the likeliest, as many as
// tell the next reading apart, and the sound system.
func foretelling(p *weigh.Posterior) []rival {
	out := []rival{{fit: p.G.Sound, weight: LeastSound}}
	total := LeastSound
	for i, f := range p.Sets {
		if len(out) > nextSets || p.Weight[i] < 0.005 {
			break
		}
		out = append(out, rival{fit: f, weight: p.Weight[i]})
		total += p.Weight[i]
	}
	for i := range out {
		out[i].weight /= total
	}
	return out
}

// LeastSound is the weight that the sound system keeps in foretelling. Own choice.
const LeastSound = 0.01

// yetToRead binds rows that have no value yet.
func yetToRead(m *airflow.Model, rows []readings.Row) (*observe.Bound, error) {
	s := &readings.Survey{Rows: rows}
	for i, r := range rows {
		s.Readings = append(s.Readings, readings.Reading{Open: r.Open, Point: r.Point, Quantity: r.Quantity, Count: 1,
			Instrument: r.Instrument, HoseOff: r.HoseOff, Rows: []int{i}})
	}
	b, bad := observe.Bind(m, s)
	return b, bad.Err()
}

// Unread is what a sound system shows for each row before anything was read; its
// weight is one.
func Unread(sys *duct.System, rows []readings.Row) ([]Foretold, error) {
	e, err := plan.Ranges(context.Background(), sys, sys.File, rows)
	out := make([]Foretold, len(e))
	for i, x := range e {
		out[i] = Foretold{Weight: 1, Mean: x.Value, Sd: max(x.High-x.Value, x.Value-x.Low) / 1.645} // one end may be cut off at nothing
	}
	return out, err
}
