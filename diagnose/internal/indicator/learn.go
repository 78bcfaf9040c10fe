package indicator

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/screen"
)

// New learns the as-built system from the surveys taken as sound; all
// are the surveys that will be looked at.
func New(ctx context.Context, m *airflow.Model, reference, all []*observe.Bound) (*Tracker, error) {
	u := asbuilt.NewUnknowns(m)
	l := fit.NewLayout(u, append(append([]*observe.Bound(nil), reference...), all...)...)
	t := &Tracker{M: m, u: u, l: l, shared: fit.Prior{Mean: make([]float64, l.N), Scale: 1}}
	for _, b := range reference {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		s := fit.NewStudy(m, u, l, b, t.shared)
		if len(s.Observation) == 0 {
			continue
		}
		f := fitRobust(s)
		if !f.Ok() {
			return nil, fmt.Errorf("%s: the model could not be solved: %w", b.Survey.File, s.Failed)
		}
		var err error
		if t.shared, err = s.PriorAfter(f, l, t.shared); err != nil {
			return nil, err
		}
		// the filter is in another state each day; the reference has their mean
		t.filterAt += f.At.Theta[s.Day-2] / float64(len(reference))
		if _, k := t.shared.V.Dims(); k > 2*l.N {
			t.shared.V = narrowed(t.shared.V)
		}
	}
	t.shared.V = narrowed(t.shared.V)
	t.List = indicators(m, ZonesOf(m))
	c := t.coefs()
	for _, x := range t.List {
		if x.Kind == fault.Blockage {
			x.from = *x.spots[0].Slot.Of(&c)
		}
	}
	t.filter = slices.IndexFunc(t.List, func(x *Indicator) bool { return x.Kind == fault.FilterLoaded })
	return t, nil
}

// leastTaught is how much of a parameter's variance must be gone to be kept in mind.
const leastTaught = 0.003

// narrowed gives a matrix of few columns with the same V·Vᵀ, apart from what is
// hardly known better than before.
func narrowed(v *mat.Dense) *mat.Dense {
	if v == nil {
		return nil
	}
	n, k := v.Dims()
	if k <= n/2 {
		return v
	}
	var vv mat.SymDense
	vv.SymOuterK(1, v)
	var e mat.EigenSym
	if !e.Factorize(&vv, true) {
		return v
	}
	var q mat.Dense
	e.VectorsTo(&q)
	values := e.Values(nil) // rising
	first := 0
	for first < n-1 && values[first] < leastTaught {
		first++
	}
	out := mat.NewDense(n, n-first, nil)
	for j := first; j < n; j++ {
		sd := math.Sqrt(math.Max(values[j], 0))
		for i := range n {
			out.Set(i, j-first, q.At(i, j)*sd)
		}
	}
	return out
}

// fitRobust fits without faults and sets aside, worst first, what lies far off
// what all other readings say.
func fitRobust(s *fit.Study) *fit.Fit {
	var h fit.Hypothesis
	start := fit.Point{Theta: s.Pr.Mean}
	for {
		f := s.Fit(h, start)
		if !f.Ok() {
			return f
		}
		odd, _, far := screen.Oddest(s, f, nil)
		if far <= OddLimit || len(h.Rows) >= len(s.Observation)/3 {
			return f
		}
		h.Rows = append(slices.Clone(h.Rows), &fit.Wrong{Observation: odd, Drop: true, Cfg: -1})
		start = f.At
	}
}
