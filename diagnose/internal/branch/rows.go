package branch

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/numeric"
)

// Rows are the derivatives of all observations by all parameters.
type Rows struct {
	b   *Branches
	own []sparse    // of its own branch and of the whole
	cfg []int32     // what it was read with; -1: not known yet
	at  []int32     // branch in which it was read
	far *mat.Dense  // by observation and branch: how many times tau
	tau [][]float64 // by configuration: what each parameter does elsewhere by its branch, in some measure
	by  [][]measure // by configuration and branch: that measure
	sd  []float64   // error of each observation: what is far less counts for nothing
	set [][]int     // by configuration: observations whose far is by the tau at hand
}

// sparse is a row of derivatives without those that are nothing.
type sparse struct {
	ix []int32
	v  []float64
}

// NewRows are rows of derivatives, for observations with such errors in so
// many configurations.
func NewRows(b *Branches, sd []float64, configs int) *Rows {
	m := len(sd)
	r := &Rows{b: b, own: make([]sparse, m), cfg: slices.Repeat([]int32{-1}, m), at: slices.Clone(b.Reading), far: mat.NewDense(m, max(b.n, 1), nil), tau: make([][]float64, configs), by: make([][]measure, configs), sd: sd, set: make([][]int, configs)}
	for c := range r.tau {
		r.tau[c], r.by[c] = make([]float64, b.seen), make([]measure, b.n)
	}
	return r
}

// ReadAs says with which configuration an observation was read, and in which branch.
func (r *Rows) ReadAs(i int) (c int, at int32) { return int(r.cfg[i]), r.at[i] }

// TakeOver takes a configuration's observations over from others.
func (r *Rows) TakeOver(from *Rows, c int, by []int) {
	r.tau[c] = from.tau[c]
	for _, i := range by {
		r.own[i], r.cfg[i], r.at[i] = from.own[i], from.cfg[i], from.at[i]
		copy(r.far.RawRowView(i), from.far.RawRowView(i))
	}
}

// Away works the derivatives of an observation read with configuration c in branch
// at out: those by what is of that branch or of the whole go to row, and the result
// says how many times what it does elsewhere each other branch does here. What
// changes the observation in proportion afterwards changes both. Keep keeps them.
// Of different configurations it may be called at the same time.
func (r *Rows) Away(i, c int, at int32, u *asbuilt.Unknowns, g *airflow.Gradient, vals, row []float64) []float64 {
	b := r.b
	r.cfg[i], r.at[i] = int32(c), at
	u.Gather(b.own[b.n], g, vals, row)
	if at >= 0 {
		u.Gather(b.own[at], g, vals, row)
	}
	far := r.far.RawRowView(i)
	for k, list := range b.away {
		far[k] = 0
		if int32(k) == at || len(list) == 0 {
			continue
		}
		by := &r.by[c][k]
		if by.size != 0 {
			far[k] = u.Slope(&list[by.pull], g, vals) / by.size
		}
		if by.size == 0 || !(math.Abs(far[k]) <= muchLarger) {
			far[k] = r.measure(c, k, u, g, vals)
		}
		for _, x := range b.also[k] {
			row[x.param] += far[k] * r.tau[c][x.place]
		}
	}
	return far
}

// measure makes what branch k does to the reading at hand the measure of what it
// does elsewhere, and returns how many times the measure that is: 1, or 0 if it does
// nothing. The larger a measure, the more exact.
func (r *Rows) measure(c, k int, u *asbuilt.Unknowns, g *airflow.Gradient, vals []float64) float64 {
	list, by, tau := r.b.away[k], &r.by[c][k], r.tau[c]
	now := measure{}
	for p := range list {
		if v := u.Slope(&list[p], g, vals); !(math.Abs(v) <= math.Abs(now.size)) {
			now = measure{p, v}
		}
	}
	if now.size == 0 {
		return 0
	}
	if by.size != 0 {
		less := by.size / u.Slope(&list[by.pull], g, vals)
		for _, o := range r.set[c] {
			r.far.Set(o, k, r.far.At(o, k)*less)
		}
	}
	for _, x := range r.b.params[k] {
		tau[x] = 0
	}
	for _, x := range r.b.also[k] {
		tau[x.place] = 0
	}
	u.Gather(list, g, vals, tau)
	*by = now
	return 1
}

// measure is by which of its pulls a branch is measured, and what that does to the
// reading that is the measure.
type measure struct {
	pull int
	size float64
}

// Keep keeps what Away has put into row, and clears it.
func (r *Rows) Keep(i int, row []float64) {
	r.own[i] = r.b.ownOf(row, r.at[i])
	clear(row)
	c := r.cfg[i]
	r.set[c] = append(r.set[c], i)
}

// muchLarger is how many times larger what a branch does to a reading must be to be
// the measure in place of the one before.
const muchLarger = 2

// ownOf is what of a row is of the whole plant or of branch at.
func (b *Branches) ownOf(row []float64, at int32) sparse {
	lists, n := [][]int32{b.whole}, 0
	if at >= 0 {
		lists = append(lists, b.params[at])
	}
	for _, list := range lists {
		for _, x := range list {
			if row[x] != 0 {
				n++
			}
		}
	}
	out := sparse{make([]int32, 0, n), make([]float64, 0, n)}
	for _, list := range lists {
		for _, x := range list {
			if v := row[x]; v != 0 {
				out.ix, out.v = append(out.ix, x), append(out.v, v)
			}
		}
	}
	return out
}

// Times is the derivatives of each observation times x.
func (r *Rows) Times(x []float64) []float64 {
	out := make([]float64, len(r.own))
	by := mat.NewDense(len(r.tau), max(r.b.n, 1), nil)
	for c, tau := range r.tau {
		to := by.RawRowView(c)
		for k, list := range r.b.params {
			var sum float64
			for _, e := range list {
				sum += tau[e] * x[e]
			}
			to[k] = sum
		}
	}
	for i := range r.own {
		var sum float64
		for k, e := range r.own[i].ix {
			sum += r.own[i].v[k] * x[e]
		}
		out[i] = sum + floats.Dot(r.far.RawRowView(i), by.RawRowView(int(r.cfg[i])))
	}
	return out
}

// Back is the sum of all rows, each times its a.
func (r *Rows) Back(a []float64, n int) []float64 {
	out := make([]float64, n)
	by := mat.NewDense(len(r.tau), max(r.b.n, 1), nil)
	for i := range r.own {
		for k, e := range r.own[i].ix {
			out[e] += r.own[i].v[k] * a[i]
		}
		floats.AddScaled(by.RawRowView(int(r.cfg[i])), a[i], r.far.RawRowView(i))
	}
	for c, tau := range r.tau {
		for k, list := range r.b.params {
			v := by.At(c, k)
			for _, e := range list {
				out[e] += v * tau[e]
			}
		}
	}
	return out
}

// Row is one of them in full.
func (r *Rows) Row(i, n int) []float64 {
	out := make([]float64, n)
	for k, x := range r.own[i].ix {
		out[x] = r.own[i].v[k]
	}
	tau := r.tau[r.cfg[i]]
	for k, list := range r.b.params {
		v := r.far.At(i, k)
		for _, x := range list {
			out[x] += v * tau[x]
		}
	}
	return out
}

// Used calls done with each parameter that moves an observation by more than a
// share of its error.
func (r *Rows) Used(i int, share float64, done func(x int)) {
	least := share * r.sd[i]
	for k, x := range r.own[i].ix {
		if v := r.own[i].v[k]; v > least || v < -least {
			done(int(x))
		}
	}
	tau := r.tau[r.cfg[i]]
	for k, list := range r.b.params {
		f := r.far.At(i, k)
		if f == 0 {
			continue
		}
		for _, x := range list {
			if v := f * tau[x]; v > least || v < -least {
				done(int(x))
			}
		}
	}
}

// Taught is the rows times a matrix.
func (r *Rows) Taught(v *mat.Dense) *mat.Dense {
	_, n := v.Dims()
	out := mat.NewDense(len(r.own), n, nil)
	by := make([]*mat.Dense, len(r.tau)) // by configuration: branch × column
	numeric.ForEach(len(r.tau), func(c int) {
		by[c] = mat.NewDense(max(r.b.n, 1), n, nil)
		for k, list := range r.b.params {
			to := numeric.Vector(by[c].RawRowView(k))
			for _, x := range list {
				if t := r.tau[c][x]; t != 0 {
					blas64.Axpy(t, numeric.Vector(v.RawRowView(int(x))), to)
				}
			}
		}
	})
	numeric.ForEach(len(r.own), func(i int) {
		to := numeric.Vector(out.RawRowView(i))
		for k, x := range r.own[i].ix {
			blas64.Axpy(r.own[i].v[k], numeric.Vector(v.RawRowView(int(x))), to)
		}
		for k, f := range r.far.RawRowView(i) {
			blas64.Axpy(f, numeric.Vector(by[r.cfg[i]].RawRowView(k)), to)
		}
	})
	return out
}
