package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/numeric"
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

// lineariseWhole does so as a matrix. Derivatives by severities are always worked out
// afresh, and all of a pair: its evidence stands beside that of one survey alone.
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
		return s.pair != nil || d.stale[i] || !(math.Abs(d.H[i]-d.rowsAt[i]) <= asBefore*math.Abs(d.H[i]))
	}
	row := make([]float64, s.N)
	s.derive(f.At, f.Hypothesis, d.Jz, func(int) []float64 { clear(row); return row }, need, func(i int) {
		old := d.J.RawRowView(i)
		if most := alike * alike * s.BaseNoise(i); s.pair != nil || d.stale[i] || math.IsNaN(d.rowsAt[i]) || !near(row, old, most) {
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
	m, ref := len(s.Observation), d.ref
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

// lineariseSparse does so by branches; derivatives by severities, of which
// there are few, come from differences. What was read with gates under which no
// reading has changed is taken over.
func (s *Study) lineariseSparse(f *Fit, d *Detail) {
	ref := d
	if d.Rows == nil && d.ref != nil && !d.exact {
		ref = d.ref
	}
	anew, all := s.changed(f, d, ref)
	if all == 0 {
		d.Rows, d.rowsAt = ref.Rows, ref.rowsAt
	} else {
		s.rowsAnew(f, d, ref, anew)
	}
	if s.Ref == nil {
		s.Ref = d
	}
	s.bySeverity(f, d)
}

// changed says which configurations' rows can't be taken over, and how many.
func (s *Study) changed(f *Fit, d, ref *Detail) (anew []bool, n int) {
	anew = make([]bool, len(s.States))
	otherwise := map[int]bool{}
	for _, w := range f.Rows {
		otherwise[w.Observation] = !w.Drop
		if w.Cfg >= 0 {
			anew[w.Cfg] = true
		}
	}
	for c, by := range s.By {
		if len(by) == 0 {
			continue
		}
		anew[c] = anew[c] || ref.Rows == nil || slices.ContainsFunc(by, func(i int) bool {
			with, at := ref.Rows.ReadAs(i)
			return otherwise[i] || with != c || at != s.cut().Reading[i] || !(math.Abs(d.H[i]-ref.rowsAt[i]) <= asBefore*math.Abs(d.H[i]))
		})
		if anew[c] {
			n++
		}
	}
	return anew, n
}

// rowsAnew works the rows of some configurations out and takes over the others.
func (s *Study) rowsAnew(f *Fit, d, ref *Detail, anew []bool) {
	rows := s.newRows()
	otherwise := readOtherwise(f.Rows)
	rowOf := func(i, c int, g *airflow.Gradient, row []float64) { // read with configuration c
		o := s.Observation[i]
		if w := otherwise[i]; w != nil {
			o = s.as(w)
		}
		s.sparseRow(rows, g, f.At.Theta, &o, i, c, s.cut().Of(s.M.DuctOf(o.Probe)), row)
	}
	numeric.OnEachWorker(func(w int) {
		g, row := s.M.NewGradient(), make([]float64, s.N)
		for c, by := range s.By {
			if c%numeric.Workers != w || len(by) == 0 {
				continue
			}
			if !anew[c] {
				rows.TakeOver(ref.Rows, c, by)
				continue
			}
			s.States[c].Prepare()
			for _, i := range by {
				if x := otherwise[i]; x == nil || x.Cfg < 0 {
					rowOf(i, c, g, row)
				}
			}
		}
	})
	g, row := s.M.NewGradient(), make([]float64, s.N)
	for _, w := range f.Rows {
		if !w.Drop && w.Cfg >= 0 {
			s.States[w.Cfg].Prepare()
			rowOf(w.Observation, w.Cfg, g, row)
		}
	}
	d.Rows, d.rowsAt = rows, slices.Clone(d.H)
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
		if s.Predict(p, f.Hypothesis, h) != nil {
			copy(h, d.H) // nothing is known of it
		}
		for i := range h {
			d.Jz.Set(i, k, (h[i]-d.H[i])/step)
		}
	}
	s.SetCoefs(f.At, f.Faults)
}

// Times is the derivatives of each observation times x.
func (d *Detail) Times(x []float64) []float64 {
	if d.Rows != nil {
		return d.Rows.Times(x)
	}
	m, _ := d.J.Dims()
	out := make([]float64, m)
	for i := range out {
		out[i] = floats.Dot(d.J.RawRowView(i), x)
	}
	return out
}

// Back is Jᵀα, by parameter.
func (d *Detail) Back(n int) *mat.VecDense { return d.backOf(d.Alpha, n) }

// backOf is Jᵀx, by parameter.
func (d *Detail) backOf(x *mat.VecDense, n int) *mat.VecDense {
	if d.Rows != nil {
		return mat.NewVecDense(n, d.Rows.Back(x.RawVector().Data, n))
	}
	t := mat.NewVecDense(n, nil)
	t.MulVec(d.J.T(), x)
	return t
}

// row is the derivatives of observation i by all n parameters.
func (d *Detail) row(i, n int) []float64 {
	if d.Rows != nil {
		return d.Rows.Row(i, n)
	}
	return d.J.RawRowView(i)
}
