package fit

import (
	"slices"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/numeric"
)

// Pair is two surveys of one system, before and after a repair, weighed as one:
// how the system was built, and its taps, stand in both; instruments, filter,
// weather and the fan of the day are each survey's own. A fault may be there
// before, after, or at both times alike, as its variant says. The study is of the
// observations of both, the first survey's first.
type Pair struct {
	*Study
	S      [2]*Study
	Common int // parameters that both have
	first  int // parameters that the first survey has for itself
}

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

// Twin is the same pair with solver states of its own.
func (p *Pair) Twin() *Pair {
	t := *p
	t.S = [2]*Study{p.S[0].Twin(), p.S[1].Twin()}
	s := *p.Study
	s.pair, s.States, s.Ref, s.spare = &t, slices.Concat(t.S[0].States, t.S[1].States), nil, numeric.Cholesky{}
	t.Study = &s
	return &t
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

// predict is what each survey should read at a point.
func (p *Pair) predict(at Point, h Hypothesis, out []float64) error {
	for k, s := range p.S {
		q, part, _ := p.Part(k, at, h)
		if err := s.Predict(q, part, out[p.Row(k):p.Row(k)+len(s.Observation)]); err != nil {
			p.Failed = err
			return err
		}
	}
	return nil
}

// derive is Study.derive: what both surveys have moves the readings of both.
func (p *Pair) derive(at Point, h Hypothesis, jz *mat.Dense, row func(i int) []float64, need func(i int) bool, done func(i int)) {
	for k, s := range p.S {
		from, m := p.Row(k), len(s.Observation)
		q, part, ix := p.Part(k, at, h)
		s.SetCoefs(q, part.Faults)
		var own *mat.Dense
		if jz != nil && len(ix) > 0 {
			own = mat.NewDense(m, len(ix), nil)
		}
		buf := make([]float64, s.N)
		s.derive(q, part, own, func(int) []float64 { clear(buf); return buf }, func(i int) bool { return need(from + i) }, func(i int) {
			to := row(from + i)
			for x, v := range buf {
				to[p.Column(k, x)] += v
			}
			done(from + i)
		})
		if jz == nil {
			continue
		}
		for i := range m {
			clear(jz.RawRowView(from + i))
			for c, x := range ix {
				jz.Set(from+i, x, own.At(i, c))
			}
		}
	}
}

// SeverityAt is a severity as it is told of survey k, in the transformed z,
// with its posterior standard deviation.
func (p *Pair) SeverityAt(f *Fit, k, which int) (z, sd float64) {
	at, h, _ := p.Part(k, f.At, f.Hypothesis)
	return p.severity(p.S[k], f, at, h.Faults, which)
}
