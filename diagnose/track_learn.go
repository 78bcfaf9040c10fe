package diagnose

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
)

// newTracker learns the as-built system from the surveys taken as sound; all
// are the surveys that will be looked at.
func newTracker(ctx context.Context, m *airflow.Model, reference, all []*bound) (*tracker, error) {
	u := newUnknowns(m)
	l := newLayout(u, append(append([]*bound(nil), reference...), all...)...)
	t := &tracker{m: m, u: u, l: l, shared: prior{mean: make([]float64, l.n), scale: 1}}
	for _, b := range reference {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		s := newStudy(m, u, l, b, t.shared)
		if len(s.obs) == 0 {
			continue
		}
		f := s.fitRobust()
		if !f.ok {
			return nil, fmt.Errorf("%s: the model could not be solved: %w", b.survey.File, s.failed)
		}
		var err error
		if t.shared, err = s.taught(f, l, t.shared); err != nil {
			return nil, err
		}
		// the filter is in another state each day; the reference has their mean
		t.filterAt += f.at.theta[s.day-2] / float64(len(reference))
		if _, k := t.shared.v.Dims(); k > 2*l.n {
			t.shared.v = narrowed(t.shared.v)
		}
	}
	t.shared.v = narrowed(t.shared.v)
	t.list, t.lenses, t.filter = indicators(m, zonesOf(m)), map[string]*lens{}, -1
	for i, x := range t.list {
		if x.kind == FilterLoaded {
			t.filter = i
			x.base = t.coefs().Filter
		}
	}
	return t, nil
}

// coefs are the coefficients of the reference.
func (t *tracker) coefs() airflow.Coefs {
	c := t.m.NewCoefs()
	t.u.coefs(t.shared.mean, &c, make([]float64, len(t.u.parts)))
	c.Filter *= math.Exp(t.u.filterDay() * t.filterAt)
	return c
}

// leastTaught is how much of a parameter's variance must be gone to be kept in mind.
const leastTaught = 0.003

// narrowed gives a matrix of few columns with the same V·Vᵀ, but for what is
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
func (s *study) fitRobust() *fitted {
	var h hypothesis
	start := point{theta: s.pr.mean}
	for {
		f := s.fit(h, start)
		if !f.ok {
			return f
		}
		worst, far := s.oddest(f)
		if far <= oddLimit || len(h.rows) >= len(s.obs)/3 {
			return f
		}
		h.rows = append(append([]*wrong(nil), h.rows...), &wrong{obs: worst, drop: true, cfg: -1})
		start = f.at
	}
}

// oddest is the observation that lies furthest off what all others make of it.
func (s *study) oddest(f *fitted) (worst int, far float64) {
	var inv mat.SymDense
	if !solved(f.fit.chol.InverseTo(&inv)) {
		return 0, 0
	}
	set := map[int]bool{}
	for _, w := range f.rows {
		set[w.obs] = true
	}
	for i := range s.obs {
		if z := math.Abs(f.fit.alpha.AtVec(i)) / math.Sqrt(inv.At(i, i)); z > far && !set[i] {
			worst, far = i, z
		}
	}
	return worst, far
}
