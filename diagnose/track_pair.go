package diagnose

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// pair is two surveys of one system, before and after a repair, weighed as one:
// how the system was built, and its taps, stand in both; instruments, filter,
// weather and the fan of the day are each survey's own. A fault may be there
// before, after, or at both times alike.
type pair struct {
	s      [2]*study
	shared prior
	kappa  float64 // factor on the spread of all parameters
	common int     // parameters that both have
	first  int     // parameters that the first survey has for itself
	n      int
	aside  [2]map[int]bool // observations of which nothing is believed
}

// moment is when a fault is there.
type moment uint8

const (
	before moment = 1 << iota
	after
	always = before | after
)

// moments in the order in which they are tried.
var moments = [...]moment{before, after, always}

func (m moment) at(k int) bool { return m&(1<<k) != 0 }

// timed is a fault and when it is there.
type timed struct {
	*variant
	when moment
}

// pairFit is a set of timed faults fitted to both surveys.
type pairFit struct {
	faults   []timed
	at       point // joint parameters; severities
	evidence float64
	prior    float64
	key      string
	ok       bool
	settled  bool
	grown    bool

	h, r, noise []float64
	j, jz       *mat.Dense
	chol        cholesky
	alpha       *mat.VecDense
	quad        float64
}

func (f *pairFit) score() float64 {
	if !f.ok || math.IsNaN(f.evidence) {
		return math.Inf(-1)
	}
	return f.evidence + f.prior
}

func newPair(a, b *study, shared prior) *pair {
	p := &pair{s: [2]*study{a, b}, shared: shared, kappa: 1, common: a.own, first: a.n - a.own, aside: [2]map[int]bool{{}, {}}}
	p.n = a.n + b.n - b.own
	return p
}

// twin is the same pair with solver states of its own.
func (p *pair) twin() *pair {
	t := *p
	t.s = [2]*study{p.s[0].twin(), p.s[1].twin()}
	return &t
}

// size is the number of observations of both.
func (p *pair) size() int { return len(p.s[0].obs) + len(p.s[1].obs) }

// column is where a parameter of survey k stands in the pair.
func (p *pair) column(k, x int) int {
	if k == 1 && x >= p.common {
		return x + p.first
	}
	return x
}

// part is survey k's share of a point, with the faults that it has, and which
// of the pair's those are.
func (p *pair) part(k int, faults []timed, at point) (point, hypothesis, []int) {
	q := point{theta: make([]float64, p.s[k].n)}
	for x := range q.theta {
		q.theta[x] = at.theta[p.column(k, x)]
	}
	var h hypothesis
	var ix []int
	for i, f := range faults {
		if f.when.at(k) {
			h.faults, q.z, ix = append(h.faults, f.variant), append(q.z, at.z[i]), append(ix, i)
		}
	}
	return q, h, ix
}

// row is where survey k's observations begin.
func (p *pair) row(k int) int { return k * len(p.s[0].obs) }

func (p *pair) predict(faults []timed, at point, out []float64) error {
	for k, s := range p.s {
		q, h, _ := p.part(k, faults, at)
		if err := s.predict(q, h, out[p.row(k):p.row(k)+len(s.obs)]); err != nil {
			return err
		}
	}
	return nil
}

// slopesAt fills j and jz at the point last predicted.
func (p *pair) slopesAt(f *pairFit) {
	f.j.Zero()
	if f.jz != nil {
		f.jz.Zero()
	}
	for k, s := range p.s {
		q, h, ix := p.part(k, f.faults, f.at)
		s.setCoefs(q, h.faults)
		j := mat.NewDense(len(s.obs), s.n, nil)
		var jz *mat.Dense
		if len(ix) > 0 {
			jz = mat.NewDense(len(s.obs), len(ix), nil)
		}
		s.jacobian(q, h, j, jz)
		for i := range s.obs {
			to := f.j.RawRowView(p.row(k) + i)
			for x, v := range j.RawRowView(i) {
				to[p.column(k, x)] += v
			}
			for c, x := range ix {
				f.jz.Set(p.row(k)+i, x, jz.At(i, c))
			}
		}
	}
}

// mean is the prior mean of a joint parameter.
func (p *pair) mean(x int) float64 {
	if x < len(p.shared.mean) {
		return p.shared.mean[x]
	}
	return 0
}

func (p *pair) start() point {
	t := make([]float64, p.n)
	copy(t, p.shared.mean)
	return point{theta: t}
}

// cov is the prior covariance of the joint parameters times x.
func (p *pair) cov(x *mat.VecDense) *mat.VecDense {
	k2 := p.kappa * p.kappa
	out := mat.NewVecDense(p.n, nil)
	out.ScaleVec(k2*p.shared.scale, x)
	if v := p.shared.v; v != nil {
		_, k := v.Dims()
		a, b := mat.NewVecDense(k, nil), mat.NewVecDense(p.common, nil)
		a.MulVec(v.T(), x.SliceVec(0, p.common))
		b.MulVec(v, a)
		head := out.SliceVec(0, p.common).(*mat.VecDense)
		head.AddScaledVec(head, -k2, b)
	}
	return out
}

// factor builds the covariance of all readings at the current linearisation.
func (p *pair) factor(f *pairFit) bool {
	m := p.size()
	k2 := p.kappa * p.kappa
	S := mat.NewSymDense(m, nil)
	S.SymOuterK(k2*p.shared.scale, f.j)
	if v := p.shared.v; v != nil {
		var jv mat.Dense
		jv.Mul(f.j.Slice(0, m, 0, p.common), v)
		var q mat.SymDense
		q.SymOuterK(-k2, &jv)
		S.AddSym(S, &q)
	}
	for c, x := range f.faults {
		sd := severities[x.kind].sd
		S.SymRankOne(S, sd*sd, f.jz.ColView(c))
	}
	for i := range m {
		S.SetSym(i, i, S.At(i, i)+f.noise[i])
	}
	return f.chol.Factorize(S)
}

// linear works out the evidence and the Gauss–Newton target.
func (p *pair) linear(f *pairFit) (point, bool) {
	m := p.size()
	f.r = make([]float64, m)
	for k, s := range p.s {
		for i := range s.obs {
			n := p.row(k) + i
			r := s.obs[i].y - f.h[n]
			for x, v := range f.j.RawRowView(n) {
				if v != 0 {
					r += v * (f.at.theta[x] - p.mean(x))
				}
			}
			for c, x := range f.faults {
				r += f.jz.At(n, c) * (f.at.z[c] - severities[x.kind].mean)
			}
			f.r[n] = r
		}
	}
	f.alpha = mat.NewVecDense(m, nil)
	rv := mat.NewVecDense(m, f.r)
	if !solved(f.chol.SolveVecTo(f.alpha, rv)) {
		return point{}, false
	}
	f.quad = mat.Dot(rv, f.alpha)
	f.evidence = -0.5*f.quad - 0.5*f.chol.LogDet()
	t := mat.NewVecDense(p.n, nil)
	t.MulVec(f.j.T(), f.alpha)
	t = p.cov(t)
	next := point{theta: make([]float64, p.n), z: make([]float64, len(f.faults))}
	for x := range next.theta {
		next.theta[x] = p.mean(x) + t.AtVec(x)
	}
	for c, x := range f.faults {
		sp := severities[x.kind]
		next.z[c] = sp.mean + sp.sd*sp.sd*mat.Dot(f.jz.ColView(c), f.alpha)
	}
	return next, true
}

// fit finds the most probable parameters under a set of faults, and its
// evidence, as a study does. One that sticks is tried again from the prior.
func (p *pair) fit(faults []timed, start point) *pairFit {
	f := p.fitFrom(faults, start)
	if f.ok && f.settled && f.quad < poorFit*float64(p.size()) {
		return f
	}
	again := p.fitFrom(faults, p.start())
	if again.ok && (!f.ok || again.settled && !f.settled || again.settled == f.settled && again.evidence > f.evidence) {
		return again
	}
	return f
}

func (p *pair) fitFrom(faults []timed, start point) *pairFit {
	m := p.size()
	f := &pairFit{faults: faults, at: start.clone(), h: make([]float64, m), noise: make([]float64, m), j: mat.NewDense(m, p.n, nil)}
	for len(f.at.z) < len(faults) {
		f.at.z = append(f.at.z, severities[faults[len(f.at.z)].kind].mean)
	}
	if len(faults) > 0 {
		f.jz = mat.NewDense(m, len(faults), nil)
	}
	for k, s := range p.s {
		for i := range s.obs {
			n := p.row(k) + i
			f.noise[n] = s.baseNoise(i)
			if p.aside[k][i] {
				f.noise[n] *= setAside
			}
		}
	}
	if p.predict(faults, f.at, f.h) != nil {
		return f
	}
	for range fitSteps {
		p.slopesAt(f)
		if !p.factor(f) {
			return f
		}
		next, ok := p.linear(f)
		if !ok {
			return f
		}
		moved, ok := p.advance(f, next)
		if !ok {
			return f
		}
		if moved < settledStep {
			f.settled = true
			break
		}
	}
	p.slopesAt(f)
	if !p.factor(f) {
		return f
	}
	_, f.ok = p.linear(f)
	return f
}

// advance moves towards the target and predicts there.
func (p *pair) advance(f *pairFit, next point) (float64, bool) {
	scale, moved := f.at.stride(next)
	old := f.at.clone()
	for range 6 {
		f.at = old.clone()
		f.at.towards(next, scale)
		if p.predict(f.faults, f.at, f.h) == nil {
			return moved, true
		}
		scale /= 3
	}
	return moved, false
}

// variance is the posterior variance of a quantity with gradient g by the joint
// parameters and gz by the severities.
func (p *pair) variance(f *pairFit, g, gz []float64) float64 {
	gv := mat.NewVecDense(p.n, g)
	cg := p.cov(gv)
	v := mat.Dot(cg, gv)
	t := mat.NewVecDense(p.size(), nil)
	t.MulVec(f.j, cg)
	for k := range gz {
		sd := severities[f.faults[k].kind].sd
		v += gz[k] * gz[k] * sd * sd
		t.AddScaledVec(t, sd*sd*gz[k], f.jz.ColView(k))
	}
	return math.Max(v-solveDot(&f.chol, t), 1e-18)
}

// oddest is the observation that lies furthest off what all others make of it.
func (p *pair) oddest(f *pairFit) (k, i int, far float64) {
	var inv mat.SymDense
	if !solved(f.chol.InverseTo(&inv)) {
		return 0, 0, 0
	}
	for s := range p.s {
		for o := range p.s[s].obs {
			n := p.row(s) + o
			if z := math.Abs(f.alpha.AtVec(n)) / math.Sqrt(inv.At(n, n)); z > far && !p.aside[s][o] {
				k, i, far = s, o, z
			}
		}
	}
	return k, i, far
}

// fits is the value that would fit in place of an observation set aside.
func (p *pair) fits(f *pairFit, k, i int) float64 { return f.h[p.row(k)+i] }
