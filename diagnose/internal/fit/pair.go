package fit

import (
	"slices"

	"gonum.org/v1/gonum/mat"
)

// NewPair weighs two surveys as one; shared is what is known of what they share.
func NewPair(a, b *Study, shared Prior) *Pair {
	p := &Pair{S: [2]*Study{a, b}, Common: a.Own, first: a.N - a.Own}
	s := &Study{M: a.M, U: a.U, N: a.N + b.N - b.Own, Own: a.Own, PriorScale: 1, NoiseScale: 1, pair: p}
	s.Observation = slices.Concat(a.Observation, b.Observation)
	s.Pr = Prior{Mean: make([]float64, s.N), Scale: shared.Scale}
	for k, x := range p.S {
		for i, v := range x.Pr.Mean {
			s.Pr.Mean[p.Column(k, i)] = v
		}
	}
	if shared.V != nil {
		_, k := shared.V.Dims()
		s.Pr.V = mat.NewDense(s.N, k, nil)
		s.Pr.V.Slice(0, len(shared.Mean), 0, k).(*mat.Dense).Copy(shared.V)
	}
	s.States = slices.Concat(a.States, b.States)
	p.Study = s
	return p
}

// Column is where a parameter of survey k stands in the pair.
func (p *Pair) Column(k, x int) int {
	if k == 1 && x >= p.Common {
		return x + p.first
	}
	return x
}

// Row is where the observations of survey k begin.
func (p *Pair) Row(k int) int { return k * len(p.S[0].Observation) }

// Of is which survey an observation is of, and which of its own.
func (p *Pair) Of(i int) (k, own int) {
	if m := len(p.S[0].Observation); i >= m {
		return 1, i - m
	}
	return 0, i
}

// Part is survey k's share of a hypothesis at a point, with the faults that it has and
// which of the pair's those are.
func (p *Pair) Part(k int, at Point, h Hypothesis) (Point, Hypothesis, []int) {
	q := Point{Theta: make([]float64, p.S[k].N)}
	for x := range q.Theta {
		q.Theta[x] = at.Theta[p.Column(k, x)]
	}
	var part Hypothesis
	var ix []int
	for i, v := range h.Faults {
		if v.When.At(k) {
			part.Faults, q.Z, ix = append(part.Faults, v), append(q.Z, at.Z[i]), append(ix, i)
		}
	}
	for _, w := range h.Rows {
		if of, own := p.Of(w.Observation); of == k {
			part.Rows = append(part.Rows, w.on(own))
		}
	}
	return q, part, ix
}

// on is the same mistake of another observation.
func (w *Wrong) on(i int) *Wrong {
	x := *w
	x.Observation = i
	return &x
}

// Rows are mistakes in rows of survey k, as those of the pair.
func (p *Pair) Rows(k int, rows []*Wrong) []*Wrong {
	var out []*Wrong
	for _, w := range rows {
		out = append(out, w.on(p.Row(k)+w.Observation))
	}
	return out
}
