package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// linearise fills in the derivatives at the point last predicted, as a matrix,
// or as sparse rows of a thinned survey. A row is taken over from another
// linearisation if it has hardly changed since.
func (s *Study) linearise(f *Fit, d *Detail) {
	if s.Lost == nil {
		s.lineariseWhole(f, d)
		return
	}
	s.lineariseSparse(f, d)
}

// lineariseWhole does so as a matrix. Derivatives by severities are always worked out afresh.
func (s *Study) lineariseWhole(f *Fit, d *Detail) {
	if d.rowsAt == nil {
		s.takeOver(d)
	}
	for _, w := range f.Rows {
		if !w.Drop {
			d.rowsAt[w.Observation] = math.NaN()
		}
	}
	need := func(i int) bool {
		return d.stale[i] || !(math.Abs(d.H[i]-d.rowsAt[i]) <= asBefore*math.Abs(d.H[i]))
	}
	row := make([]float64, s.N)
	s.derive(f.At, f.Hypothesis, d.Jz, func(int) []float64 { clear(row); return row }, need, func(i int) {
		old := d.J.RawRowView(i)
		if most := alike * alike * s.BaseNoise(i); d.stale[i] || math.IsNaN(d.rowsAt[i]) || !near(row, old, most) {
			copy(old, row)
			d.stale[i] = true
		}
		d.rowsAt[i] = d.H[i]
	})
	for _, w := range f.Rows {
		if !w.Drop {
			d.rowsAt[w.Observation] = math.NaN() // of a row read otherwise
		}
	}
	if s.Ref == nil {
		s.Ref = d
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
func (s *Study) takeOver(d *Detail) {
	m, ref := len(s.Observation), s.Ref
	if ref != nil && ref.J != nil && ref.shared != nil && len(ref.rowsAt) == m {
		d.J.Copy(ref.J)
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
func (s *Study) lineariseSparse(f *Fit, d *Detail) {
	old := d.Rows
	ref := d
	if old == nil && s.Ref != nil && !s.exact {
		ref = s.Ref
	}
	rows, at := make([]Sparse, len(s.Observation)), make([]float64, len(s.Observation))
	for i := range rows {
		at[i] = math.NaN()
		if ref.Rows != nil && math.Abs(d.H[i]-ref.rowsAt[i]) <= asBefore*math.Abs(d.H[i]) {
			rows[i], at[i] = ref.Rows[i], ref.rowsAt[i]
		}
	}
	for _, w := range f.Rows {
		at[w.Observation] = math.NaN()
	}
	row := make([]float64, s.N)
	s.derive(f.At, f.Hypothesis, nil, func(int) []float64 { return row }, func(i int) bool { return math.IsNaN(at[i]) }, func(i int) {
		rows[i], at[i] = s.compress(row, i), d.H[i]
		clear(row)
	})
	for _, w := range f.Rows {
		if w.Cfg >= 0 {
			at[w.Observation] = math.NaN()
		}
	}
	d.Rows, d.rowsAt = rows, at
	if s.Ref == nil {
		s.Ref = d
	}
	s.bySeverity(f, d)
}

// The share of a reading by which it may have changed for its derivatives to be
// taken over, and the share of its fresh error by which what they spread it by
// may differ. What a parameter does to a reading may change much where others
// make up for it: taken over from readings that had changed by 0.02 %, derivatives
// led the fits of 1,724 readings up and down by 10 nats, and few of them settled.
const (
	asBefore = 1e-6
	alike    = 0.0005
)

// bySeverity fills in the derivatives by the faults' severities, from differences.
func (s *Study) bySeverity(f *Fit, d *Detail) {
	const step = 1e-3
	h := make([]float64, len(s.Observation))
	for k := range f.Faults {
		p := f.At.Clone()
		p.Z[k] += step
		ok := s.Predict(p, f.Hypothesis, h) == nil
		for i := range h {
			v := 0.0
			if ok {
				v = (h[i] - d.H[i]) / step
			}
			d.Jz.Set(i, k, v)
		}
	}
	s.SetCoefs(f.At, f.Faults)
}

// Times is the derivatives of observation i times x.
func (d *Detail) Times(i int, x []float64) float64 {
	if d.Rows == nil {
		return floats.Dot(d.J.RawRowView(i), x)
	}
	var sum float64
	for k, at := range d.Rows[i].ix {
		sum += d.Rows[i].v[k] * x[at]
	}
	return sum
}

// Back is Jᵀα, by parameter.
func (d *Detail) Back(n int) *mat.VecDense { return d.backOf(d.Alpha, n) }

// backOf is Jᵀx, by parameter.
func (d *Detail) backOf(x *mat.VecDense, n int) *mat.VecDense {
	t := mat.NewVecDense(n, nil)
	if d.Rows == nil {
		t.MulVec(d.J.T(), x)
		return t
	}
	out := t.RawVector().Data
	for i, row := range d.Rows {
		a := x.AtVec(i)
		for k, x := range row.ix {
			out[x] += row.v[k] * a
		}
	}
	return t
}

// row is the derivatives of observation i by all n parameters.
func (d *Detail) row(i, n int) []float64 {
	if d.Rows == nil {
		return d.J.RawRowView(i)
	}
	out := make([]float64, n)
	for k, x := range d.Rows[i].ix {
		out[x] = d.Rows[i].v[k]
	}
	return out
}
