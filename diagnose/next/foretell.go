package next

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/plan"
	"lostair/readings"
)

// Foretold is what one explanation of the readings so far says that a further
// reading shows: normal, SI.
type Foretold struct {
	Weight   float64 // chance of the explanation; all of one reading sum to one
	Mean, Sd float64
}

// Foretell says for each row, whose value is of no interest, what the likely
// explanations of the readings so far say that it shows. A row that names what
// the system has not is a problem. A row that can't be solved gets none.
func Foretell(p *weigh.Posterior, rows []readings.Row) ([][]Foretold, error) {
	out := make([][]Foretold, len(rows))
	err := foretell(p, rows, foretelling(p), nil, func(row int, x Foretold) { out[row] = append(out[row], x) })
	return out, err
}

// Mended says of each row what nine in ten systems show there once the cause is mended,
// that the readings so far are of: SI, the reading's own error included. Nil if no likely
// explanation has the cause. Errors are those of Foretell.
func Mended(p *weigh.Posterior, rows []readings.Row, cause []fault.Candidate) ([]fault.Interval, error) {
	g := p.G
	mended := func(v *fault.Variant) bool {
		t := g.Sites[v.Site]
		return slices.ContainsFunc(cause, func(c fault.Candidate) bool { return c.Kind == t.Kind && c.Where == t.Where })
	}
	var sets []rival
	for _, x := range foretelling(p) {
		if slices.ContainsFunc(x.fit.Faults, mended) {
			sets = append(sets, x)
		}
	}
	if len(sets) == 0 {
		return nil, nil
	}
	mix := make([]numeric.Mixture, len(rows))
	err := foretell(p, rows, sets, mended, func(row int, x Foretold) { mix[row].Add(x.Weight, x.Mean, x.Sd) })
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
func foretell(p *weigh.Posterior, rows []readings.Row, sets []rival, mended func(*fault.Variant) bool, take func(row int, x Foretold)) error {
	b, err := yetToRead(p.G.S.M, rows)
	if err != nil {
		return err
	}
	st := p.G.S.M.NewState()
	for _, o := range b.Observation {
		row := o.Rows[0]
		spot := plan.SpotToRead{Point: rows[row].Point, Q: rows[row].Quantity, Probe: o.Probe}
		for _, x := range sets {
			if est := foretoldWithout(p.G.S, st, x.fit, mended, b.Configs[o.Cfg].Config, []plan.SpotToRead{spot}); est != nil {
				take(row, Foretold{x.weight, est[0].Mean, est[0].Sd})
			}
		}
	}
	return nil
}

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

// foretold is what readings yet to be taken should show under a fitted
// hypothesis. They share what is known of their tap, of the instrument and of
// the day, so that what was read already is worth little a second time.
func foretold(s *fit.Study, st *airflow.State, f *fit.Fit, cfg airflow.Config, spots []plan.SpotToRead) []fit.Estimate {
	return foretoldWithout(s, st, f, nil, cfg, spots)
}

// foretoldWithout is the same once those of its faults are mended that mended says; nil: none is.
func foretoldWithout(s *fit.Study, st *airflow.State, f *fit.Fit, mended func(*fault.Variant) bool, cfg airflow.Config, spots []plan.SpotToRead) []fit.Estimate {
	at, left, place := fit.Point{Theta: f.At.Theta}, []*fault.Variant(nil), []int(nil)
	for k, v := range f.Faults {
		if mended == nil || !mended(v) {
			at.Z, left, place = append(at.Z, f.At.Z[k]), append(left, v), append(place, k)
		}
	}
	s.SetCoefs(at, left)
	if st.Solve(&s.Coef, cfg) != nil {
		return nil
	}
	st.Prepare()
	slopes := make([][]fault.Slope, len(left))
	for k, v := range left {
		slopes[k] = v.Slopes(&s.Coef, at.Z[k])
	}
	out, wide := make([]fit.Estimate, len(spots)), make([]float64, s.All)
	jz := mat.NewDense(1, max(len(left), 1), nil)
	for i, sp := range spots {
		o := plan.YetToRead(s, sp, st.Value(sp.Probe))
		row := make([]float64, s.N)
		s.JacobianRow(st, at.Theta, &o, 0, row, jz, slopes)
		gz := make([]float64, len(f.Faults))
		for k, x := range place {
			gz[x] = jz.At(0, k)
		}
		out[i] = fit.Estimate{Mean: fit.ValueOf(st, at.Theta, &o, s.Day), Sd: math.Sqrt(s.Variance(f, row, gz) + s.LeftOut(s.Grad, wide) + o.Fresh*o.Fresh)}
	}
	return out
}
