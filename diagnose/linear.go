package diagnose

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// linearise fills in the derivatives at the point last predicted, as a matrix,
// or as sparse rows of a thinned survey. A row is taken over from another
// linearisation if it has hardly changed since.
func (s *study) linearise(f *fitted, d *fitDetail) {
	if s.lost == nil {
		s.lineariseWhole(f, d)
		return
	}
	s.lineariseSparse(f, d)
}

// lineariseWhole does so as a matrix. Derivatives by severities are always worked out afresh.
func (s *study) lineariseWhole(f *fitted, d *fitDetail) {
	if d.rowsAt == nil {
		s.takeOver(d)
	}
	for _, w := range f.rows {
		if !w.drop {
			d.rowsAt[w.obs] = math.NaN()
		}
	}
	need := func(i int) bool {
		return d.stale[i] || !(math.Abs(d.h[i]-d.rowsAt[i]) <= asBefore*math.Abs(d.h[i]))
	}
	row := make([]float64, s.n)
	s.derive(f.at, f.hypothesis, d.jz, func(int) []float64 { clear(row); return row }, need, func(i int) {
		old := d.j.RawRowView(i)
		if most := alike * alike * s.baseNoise(i); d.stale[i] || math.IsNaN(d.rowsAt[i]) || !near(row, old, most) {
			copy(old, row)
			d.stale[i] = true
		}
		d.rowsAt[i] = d.h[i]
	})
	for _, w := range f.rows {
		if !w.drop {
			d.rowsAt[w.obs] = math.NaN() // of a row read otherwise
		}
	}
	if s.ref == nil {
		s.ref = d
	}
}

// near says whether two rows differ by less, in square.
func near(a, b []float64, most float64) bool {
	var sum float64
	for x, v := range a {
		e := v - b[x]
		sum += e * e
	}
	return sum <= most
}

// takeOver starts a linearisation from the one to take over from, if there is one.
func (s *study) takeOver(d *fitDetail) {
	m, ref := len(s.obs), s.ref
	if ref != nil && ref.j != nil && ref.shared != nil && len(ref.rowsAt) == m {
		d.j.Copy(ref.j)
		d.rowsAt, d.stale = slices.Clone(ref.rowsAt), slices.Clone(ref.stale)
		d.shared = slices.Clone(ref.shared)
		if ref.jv != nil {
			d.jv = mat.DenseCopyOf(ref.jv)
		}
		return
	}
	d.rowsAt, d.stale = make([]float64, m), make([]bool, m)
	for i := range d.stale {
		d.stale[i] = true
	}
}

// lineariseSparse does so as sparse rows; derivatives by severities, of which
// there are few, come from differences.
func (s *study) lineariseSparse(f *fitted, d *fitDetail) {
	old := d.rows
	ref := d
	if old == nil && s.ref != nil {
		ref = s.ref
	}
	unchanged := unchangedSparse
	if s.exact {
		unchanged = asBefore
	}
	rows, at := make([]sparse, len(s.obs)), make([]float64, len(s.obs))
	for i := range rows {
		at[i] = math.NaN()
		if ref.rows != nil && math.Abs(d.h[i]-ref.rowsAt[i]) < unchanged*math.Abs(d.h[i]) {
			rows[i], at[i] = ref.rows[i], ref.rowsAt[i]
		}
	}
	for _, w := range f.rows {
		at[w.obs] = math.NaN()
	}
	row := make([]float64, s.n)
	s.derive(f.at, f.hypothesis, nil, func(int) []float64 { return row }, func(i int) bool { return math.IsNaN(at[i]) }, func(i int) {
		rows[i], at[i] = s.compress(row, i), d.h[i]
		clear(row)
	})
	for _, w := range f.rows {
		if w.cfg >= 0 {
			at[w.obs] = math.NaN()
		}
	}
	d.rows, d.rowsAt = rows, at
	if s.ref == nil {
		s.ref = d
	}
	s.bySeverity(f, d)
}

// The change of a reading below which its derivatives are taken over: of a
// thinned survey as a share of the reading, and of another if nothing has
// changed. There else they are taken over if what they spread the reading by
// differs by less than a share of its fresh error.
const (
	unchangedSparse = 0.01
	asBefore        = 1e-6
	alike           = 0.0005
)

// bySeverity fills in the derivatives by the faults' severities, from differences.
func (s *study) bySeverity(f *fitted, d *fitDetail) {
	const step = 1e-3
	h := make([]float64, len(s.obs))
	for k := range f.faults {
		p := f.at.clone()
		p.z[k] += step
		ok := s.predict(p, f.hypothesis, h) == nil
		for i := range h {
			v := 0.0
			if ok {
				v = (h[i] - d.h[i]) / step
			}
			d.jz.Set(i, k, v)
		}
	}
	s.setCoefs(f.at, f.faults)
}

// times is the derivatives of observation i times x.
func (d *fitDetail) times(i int, x []float64) float64 {
	if d.rows == nil {
		return floats.Dot(d.j.RawRowView(i), x)
	}
	var sum float64
	for k, at := range d.rows[i].ix {
		sum += d.rows[i].v[k] * x[at]
	}
	return sum
}

// back is Jᵀα, by parameter.
func (d *fitDetail) back(n int) *mat.VecDense {
	t := mat.NewVecDense(n, nil)
	if d.rows == nil {
		t.MulVec(d.j.T(), d.alpha)
		return t
	}
	out := t.RawVector().Data
	for i, row := range d.rows {
		a := d.alpha.AtVec(i)
		for k, x := range row.ix {
			out[x] += row.v[k] * a
		}
	}
	return t
}

// row is the derivatives of observation i by all n parameters.
func (d *fitDetail) row(i, n int) []float64 {
	if d.rows == nil {
		return d.j.RawRowView(i)
	}
	out := make([]float64, n)
	for k, x := range d.rows[i].ix {
		out[x] = d.rows[i].v[k]
	}
	return out
}
