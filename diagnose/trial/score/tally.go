package score

import (
	"math"
	"slices"
)

// Share counts hits among n.
type Share struct{ Hits, N int }

func (s *Share) add(hit bool) {
	s.N++
	if hit {
		s.Hits++
	}
}

// Value is the share; NaN of nothing.
func (s Share) Value() float64 {
	if s.N == 0 {
		return math.NaN()
	}
	return float64(s.Hits) / float64(s.N)
}

// SE is its binomial standard error.
func (s Share) SE() float64 {
	p := s.Value()
	return math.Sqrt(p * (1 - p) / float64(s.N))
}

// Mean gathers a mean.
type Mean struct {
	N       int
	sum, sq float64
}

func (m *Mean) add(v float64) { m.N, m.sum, m.sq = m.N+1, m.sum+v, m.sq+v*v }

// Value is the mean; NaN of nothing.
func (m Mean) Value() float64 {
	if m.N == 0 {
		return math.NaN()
	}
	return m.sum / float64(m.N)
}

// SE is the standard error of the mean.
func (m Mean) SE() float64 {
	if m.N < 2 {
		return math.NaN()
	}
	v := (m.sq - m.sum*m.sum/float64(m.N)) / float64(m.N-1)
	return math.Sqrt(max(v, 0) / float64(m.N))
}

// Bins gather probabilities by tenths and what became of them.
type Bins [10]struct {
	N         int
	Sum, Real float64
}

func (b *Bins) add(p float64, real bool) {
	x := &b[min(9, int(p*10))]
	x.N++
	x.Sum += p
	if real {
		x.Real++
	}
}

// Error is the mean distance of stated and real share over the bins from the
// first, by count; NaN of nothing.
func (b *Bins) Error(first int) float64 {
	var n int
	var e float64
	for _, x := range b[first:] {
		n += x.N
		e += math.Abs(x.Sum - x.Real)
	}
	if n == 0 {
		return math.NaN()
	}
	return e / float64(n)
}

// ErrorSE is its standard error, as if every bin's true share were its own.
func (b *Bins) ErrorSE(first int) float64 {
	var n int
	var v float64
	for _, x := range b[first:] {
		if x.N == 0 {
			continue
		}
		n += x.N
		r := x.Real / float64(x.N)
		v += float64(x.N) * r * (1 - r)
	}
	if n == 0 {
		return math.NaN()
	}
	return math.Sqrt(v) / float64(n)
}

// median is the upper one, as the bank's scorer takes it; NaN of nothing.
func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := append([]float64(nil), v...)
	slices.Sort(s)
	return s[len(s)/2]
}
