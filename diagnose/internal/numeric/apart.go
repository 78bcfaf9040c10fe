package numeric

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Apart are columns that do anything to the quantities of one block, and to all others
// of a kind so many times the same.
type Apart struct {
	Cols  []int
	Block int // which of the patches; -1: there is none
}

// SizesApart are Sizes of those columns that are apart as groups say, NaN of the others.
// kind is that of each quantity, counted from 0, and least the difference of it that is
// nothing.
func (c *Cholesky) SizesApart(b *mat.Dense, groups []Apart, kind []int, least []float64) []float64 {
	_, n := b.Dims()
	out := slices.Repeat([]float64{math.NaN()}, n)
	if c.p == nil {
		return out
	}
	kinds := make([][]int, 1+slices.Max(kind))
	for i, k := range kind {
		kinds[k] = append(kinds[k], i)
	}
	back := mat.DenseCopyOf(c.p.w)
	c.p.whiten(back, true)
	ForEach(len(groups), func(k int) { c.p.apart(b, groups[k], kinds, least, back, out) })
	return out
}

// Columns are some columns of b.
func Columns(b *mat.Dense, some []int) *mat.Dense {
	m, _ := b.Dims()
	out := mat.NewDense(m, len(some), nil)
	for i := range m {
		from, to := b.RawRowView(i), out.RawRowView(i)
		for k, x := range some {
			to[k] = from[x]
		}
	}
	return out
}

// pattern is what the columns of a group do to the quantities of a kind elsewhere.
type pattern struct {
	rows  []int
	of    int // column that is the pattern
	scale int // row in which it is largest
}

// apart fills in the sizes of a group's columns that are as it says. back is D^-½ᵀ W.
func (c *patched) apart(b *mat.Dense, g Apart, kinds [][]int, least []float64, back *mat.Dense, out []float64) {
	if len(g.Cols) == 0 {
		return
	}
	m, wide := c.w.Dims()
	cols := mat.DenseCopyOf(Columns(b, g.Cols).T())
	var inside []int
	own := make([]bool, m)
	if g.Block >= 0 {
		inside = c.at[g.Block]
	}
	for _, i := range inside {
		own[i] = true
	}
	list := patterns(cols, kinds, own, least)
	times, fits := list.times(cols, least)
	if len(fits) == 0 {
		return
	}
	far, here := list.matrix(cols), mat.NewDense(max(len(inside), 1), len(fits), nil)
	for a, i := range inside {
		for n, k := range fits {
			here.Set(a, n, cols.At(k, i))
		}
	}
	more := c.lessSure(far, here, inside, times)

	// Wᵀ D^-½ of the patterns and of what is inside, and their own squares.
	p, _ := times.Dims()
	onFar, on := mat.NewDense(p, wide, nil), mat.NewDense(len(fits), wide, nil)
	for x, q := range list {
		for _, i := range q.rows {
			blas64.Axpy(far.At(i, x), Vector(back.RawRowView(i)), Vector(onFar.RawRowView(x)))
		}
	}
	c.whiten(far, false)
	size := make([]float64, len(fits))
	if len(inside) > 0 {
		c.block[g.Block].Whiten(here)
		size = squares(here)
		w := mat.NewDense(len(inside), wide, nil)
		for a, i := range inside {
			copy(w.RawRowView(a), c.w.RawRowView(i))
		}
		on.Mul(mat.DenseCopyOf(here.T()), w)
	}
	gram := mat.NewSymDense(p, nil)
	blas64.Syrk(blas.Trans, 1, far.RawMatrix(), 0, gram.RawSymmetric())
	var by, away mat.Dense
	by.Mul(gram, times)
	by.MulElem(&by, times)
	for x := range p {
		floats.Add(size, by.RawRowView(x))
	}
	away.Mul(mat.DenseCopyOf(times.T()), onFar)
	on.Add(on, &away)
	way := mat.DenseCopyOf(on.T())
	c.plus.Whiten(way)
	floats.Sub(size, squares(way))
	if more != nil {
		floats.Add(size, more)
	}
	for n, k := range fits {
		out[g.Cols[k]] = size[n]
	}
}

// lessSure is what the columns gain by G; nil without.
func (c *patched) lessSure(far, here *mat.Dense, inside []int, times *mat.Dense) []float64 {
	if c.g == nil {
		return nil
	}
	_, n := c.g.Dims()
	g := mat.NewDense(max(len(inside), 1), n, nil)
	for a, i := range inside {
		copy(g.RawRowView(a), c.g.RawRowView(i))
	}
	var s, on, more mat.Dense
	s.Mul(mat.DenseCopyOf(g.T()), here)
	on.Mul(mat.DenseCopyOf(c.g.T()), far)
	more.Mul(&on, times)
	s.Add(&s, &more)
	c.minus.Whiten(&s)
	return squares(&s)
}

type patternList []pattern

// patterns are the columns, which are the rows of cols, that do most elsewhere.
func patterns(cols *mat.Dense, kinds [][]int, own []bool, least []float64) patternList {
	n, _ := cols.Dims()
	var out patternList
	for _, rows := range kinds {
		p := pattern{scale: -1}
		for _, i := range rows {
			if !own[i] {
				p.rows = append(p.rows, i)
			}
		}
		most := 0.0
		for k := range n {
			for _, i := range p.rows {
				if v := math.Abs(cols.At(k, i)) / least[i]; v > most {
					most, p.of, p.scale = v, k, i
				}
			}
		}
		if p.scale >= 0 {
			out = append(out, p)
		}
	}
	return out
}

// matrix has the patterns as columns.
func (list patternList) matrix(cols *mat.Dense) *mat.Dense {
	_, m := cols.Dims()
	out := mat.NewDense(m, max(len(list), 1), nil)
	for x, p := range list {
		for _, i := range p.rows {
			out.Set(i, x, cols.At(p.of, i))
		}
	}
	return out
}

// times says how many times each pattern some of the columns are, and which: those
// that are nothing else elsewhere.
func (list patternList) times(cols *mat.Dense, least []float64) (*mat.Dense, []int) {
	n, _ := cols.Dims()
	var fits []int
	by := make([][]float64, n)
	for k := range n {
		if by[k] = list.of(cols.RawRowView(k), cols, least); by[k] != nil {
			fits = append(fits, k)
		}
	}
	out := mat.NewDense(max(len(list), 1), max(len(fits), 1), nil)
	for c, k := range fits {
		for x, v := range by[k] {
			out.Set(x, c, v)
		}
	}
	return out, fits
}

// of is how many times each pattern a column is; nil if it is something else.
func (list patternList) of(col []float64, cols *mat.Dense, least []float64) []float64 {
	out := make([]float64, len(list))
	for x, p := range list {
		whole := cols.RawRowView(p.of)
		out[x] = col[p.scale] / whole[p.scale]
		for _, i := range p.rows {
			if !(math.Abs(col[i]-out[x]*whole[i]) <= least[i]) {
				return nil
			}
		}
	}
	return out
}
