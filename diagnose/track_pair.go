package diagnose

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
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
	rough  float64 // factor on the fresh errors
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
	rows     []*wrong // of the second survey
	at       point    // joint parameters; severities
	evidence float64
	prior    float64
	key      string
	ok       bool
	settled  bool
	grown    bool

	h, r     []float64
	y, noise []float64 // as read, and the variance of the fresh errors
	j, jz    *mat.Dense
	shared   *mat.SymDense // J C Jᵀ at the usual spread
	chol     cholesky
	alpha    *mat.VecDense
	quad     float64
	left     float64 // nats that the evidence would promise too much: the fit has not settled
}

func (f *pairFit) score() float64 {
	if !f.ok || math.IsNaN(f.evidence) {
		return math.Inf(-1)
	}
	return f.evidence + f.prior
}

func newPair(a, b *study, shared prior) *pair {
	p := &pair{s: [2]*study{a, b}, shared: shared, kappa: 1, rough: 1, common: a.own, first: a.n - a.own, aside: [2]map[int]bool{{}, {}}}
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

// part is survey k's share of a fit, with the faults that it has, and which of
// the pair's those are.
func (p *pair) part(k int, f *pairFit) (point, hypothesis, []int) {
	q := point{theta: make([]float64, p.s[k].n)}
	for x := range q.theta {
		q.theta[x] = f.at.theta[p.column(k, x)]
	}
	var h hypothesis
	if k == 1 {
		h.rows = f.rows
	}
	var ix []int
	for i, x := range f.faults {
		if x.when.at(k) {
			h.faults, q.z, ix = append(h.faults, x.variant), append(q.z, f.at.z[i]), append(ix, i)
		}
	}
	return q, h, ix
}

// row is where survey k's observations begin.
func (p *pair) row(k int) int { return k * len(p.s[0].obs) }

// predict writes what a fit makes of each observation into out.
func (p *pair) predict(f *pairFit, out []float64) error {
	for k, s := range p.s {
		q, h, _ := p.part(k, f)
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
		q, h, ix := p.part(k, f)
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
	p.share(f)
}

// share works out what the readings share by the prior alone, without the factor on the spread.
func (p *pair) share(f *pairFit) {
	if f.shared == nil {
		f.shared = mat.NewSymDense(p.size(), nil)
	}
	S := f.shared.RawSymmetric()
	blas64.Syrk(blas.NoTrans, p.shared.scale, f.j.RawMatrix(), 0, S)
	if v := p.shared.v; v != nil {
		var jv mat.Dense
		jv.Mul(f.j.Slice(0, p.size(), 0, p.common), v)
		blas64.Syrk(blas.NoTrans, -1, jv.RawMatrix(), 1, S)
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
	return point{theta: t, dual: make([]float64, p.n)}
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
	S := f.chol.room(m)
	S.ScaleSym(p.kappa*p.kappa, f.shared)
	for c, x := range f.faults {
		sd := severities[x.kind].sd
		S.SymRankOne(S, sd*sd, f.jz.ColView(c))
	}
	for i := range m {
		S.SetSym(i, i, S.At(i, i)+f.noise[i]*p.rough*p.rough)
	}
	return f.chol.Factorize(S)
}

// weigh works out the evidence.
func (p *pair) weigh(f *pairFit) bool {
	m := p.size()
	f.r = make([]float64, m)
	for n := range f.r {
		r := f.y[n] - f.h[n]
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
	f.alpha = mat.NewVecDense(m, nil)
	rv := mat.NewVecDense(m, f.r)
	if !solved(f.chol.SolveVecTo(f.alpha, rv)) {
		return false
	}
	f.quad = mat.Dot(rv, f.alpha)
	f.evidence = -0.5*f.quad - 0.5*f.chol.LogDet() - 0.5*float64(m)*math.Log(2*math.Pi) + p.rowsWeight(f)
	return !math.IsNaN(f.evidence)
}

// target is where the linearised posterior has its mean.
func (p *pair) target(f *pairFit) point {
	t := mat.NewVecDense(p.n, nil)
	t.MulVec(f.j.T(), f.alpha)
	next := point{theta: make([]float64, p.n), z: make([]float64, len(f.faults)), dual: make([]float64, p.n)}
	floats.AddScaled(next.dual, p.kappa*p.kappa, t.RawVector().Data)
	t = p.cov(t)
	for x := range next.theta {
		next.theta[x] = p.mean(x) + t.AtVec(x)
	}
	for c, x := range f.faults {
		sp := severities[x.kind]
		next.z[c] = sp.mean + sp.sd*sp.sd*mat.Dot(f.jz.ColView(c), f.alpha)
	}
	return next
}

// rowsWeight is what the evidence owes to rows that are wrong or set aside: a
// row of which nothing is believed counts for nothing.
func (p *pair) rowsWeight(f *pairFit) float64 {
	var out float64
	none := func(n int) { out += 0.5 * math.Log(2*math.Pi*f.noise[n]*p.rough*p.rough) }
	for k := range p.s {
		for i := range p.s[k].obs {
			if p.aside[k][i] {
				none(p.row(k) + i)
			}
		}
	}
	for _, w := range f.rows {
		out += w.log
		if w.drop {
			none(p.row(1) + w.obs)
		}
	}
	return out
}

// fit finds the most probable parameters under a set of faults, and its
// evidence, as a study does. One that sticks is tried again from the prior.
func (p *pair) fit(faults []timed, rows []*wrong, start point) *pairFit {
	f := p.fitFrom(faults, rows, start)
	if f.ok && f.settled && f.quad < poorFit*float64(p.size()) {
		return f
	}
	again := p.fitFrom(faults, rows, p.start())
	if again.ok && (!f.ok || again.settled && !f.settled || again.settled == f.settled && again.evidence > f.evidence) {
		return again
	}
	return f
}

func (p *pair) fitFrom(faults []timed, rows []*wrong, start point) *pairFit {
	f := p.begin(faults, rows, start)
	if p.predict(f, f.h) != nil {
		return f
	}
	x, moved := twoFit{p, f}, math.Inf(1)
	for range fitSteps {
		// After a small step the old linearisation serves for one more target.
		afresh := moved > smallStep
		if afresh {
			p.slopesAt(f)
			if !p.factor(f) {
				return f
			}
		}
		if !p.weigh(f) {
			return f
		}
		if toCome(x, moved) < settledGain {
			if !afresh && !p.exactly(f) {
				return f
			}
			if afresh = true; toCome(x, moved) < settledGain {
				f.settled, f.ok = true, true
				return f
			}
		}
		var went bool
		if moved, went = advance(x, p.target(f), triesOf(afresh)); !went {
			if afresh {
				break
			}
			moved = math.Inf(1)
		}
	}
	if !p.exactly(f) {
		return f
	}
	if f.left = toCome(x, moved); math.IsInf(f.left, 0) {
		f.left = 0
	}
	f.evidence -= f.left
	f.ok = true
	return f
}

// exactly takes the evidence with everything linearised at the point reached.
func (p *pair) exactly(f *pairFit) bool {
	p.slopesAt(f)
	return p.factor(f) && p.weigh(f)
}

// begin sets a fit up.
func (p *pair) begin(faults []timed, rows []*wrong, start point) *pairFit {
	m := p.size()
	f := &pairFit{faults: faults, rows: rows, at: start.clone(), h: make([]float64, m), y: make([]float64, m), noise: make([]float64, m), j: mat.NewDense(m, p.n, nil)}
	for len(f.at.z) < len(faults) {
		f.at.z = append(f.at.z, severities[faults[len(f.at.z)].kind].mean)
	}
	if len(faults) > 0 {
		f.jz = mat.NewDense(m, len(faults), nil)
	}
	if f.at.dual == nil && p.shared.v == nil {
		f.at.dual = slices.Clone(f.at.theta)
		for x := range f.at.dual {
			f.at.dual[x] = (f.at.theta[x] - p.mean(x)) / p.shared.scale
		}
	}
	for k, s := range p.s {
		_, h, _ := p.part(k, f)
		lo, hi := p.row(k), p.row(k)+len(s.obs)
		s.observe(h, &fitDetail{y: f.y[lo:hi], noise: f.noise[lo:hi]})
		for i := range p.aside[k] {
			f.noise[lo+i] *= setAside
		}
	}
	return f
}

// twoFit is where a fit of both surveys stands.
type twoFit struct {
	p *pair
	f *pairFit
}

func (x twoFit) point() *point  { return &x.f.at }
func (x twoFit) quad() float64  { return x.f.quad }
func (x twoFit) lose()          { x.f.h[0] = math.NaN() }
func (x twoFit) predict() error { return x.p.predict(x.f, x.f.h) }

func (x twoFit) try() (ok, on bool) { return x.predict() == nil, true }

func (x twoFit) cost() float64 {
	p, f := x.p, x.f
	return costs{f.y, f.h, f.noise, p.shared.mean, p.kappa, p.rough}.of(f.at, func(k int) Kind { return f.faults[k].kind })
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
	return math.Max(v-solveDot(&f.chol, t), minVariance)
}

// severityAt is a severity as it is told of survey k, in the transformed z,
// with its posterior standard deviation.
func (p *pair) severityAt(f *pairFit, k, fault int) (z, sd float64) {
	v, z := f.faults[fault].variant, f.at.z[fault]
	g, gz := make([]float64, p.n), make([]float64, len(f.faults))
	gz[fault] = 1
	if v.kind == GateLeaking {
		s := p.s[k]
		at, h, _ := p.part(k, f)
		s.setCoefs(at, h.faults)
		z, gz[fault] = v.leftOpen(s.u, &s.coef, s.vals, z, g[:p.common]) // as built, both have it
	}
	return z, math.Sqrt(p.variance(f, g, gz) + lawVariance(v.kind, z))
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
