package diagnose

import (
	"context"
	"math"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
)

// newTracker learns the as-built system from the surveys taken as sound; all
// are the surveys that will be looked at.
func newTracker(ctx context.Context, m *airflow.Model, reference, all []*bound) (*tracker, error) {
	u := newUnknowns(m)
	l := newLayout(u, append(append([]*bound(nil), reference...), all...)...)
	t := &tracker{m: m, u: u, l: l, shared: prior{mean: make([]float64, l.n)}}
	for _, b := range reference {
		var err error
		if t.shared, err = learn(ctx, m, u, l, b, t.shared); err != nil {
			return nil, err
		}
		t.shared.v = narrowed(t.shared.v)
	}
	t.list = indicators(m, zonesOf(m))
	return t, nil
}

// narrowed gives a matrix of few columns with the same V·Vᵀ.
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
	for first < n-1 && values[first] < 1e-7 {
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
