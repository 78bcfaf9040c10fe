package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/numeric"
)

// Pair is two surveys of one system, before and after a repair, weighed as one:
// how the system was built, and its taps, stand in both; instruments, filter,
// weather and the fan of the day are each survey's own. A fault may be there
// before, after, or at both times alike.
type Pair struct {
	S          [2]*Study
	shared     Prior
	PriorScale float64 // factor on the spread of all parameters
	NoiseScale float64 // factor on the fresh errors
	Common     int     // parameters that both have
	first      int     // parameters that the first survey has for itself
	N          int
	Aside      [2]map[int]bool // observations of which nothing is believed
}

// Moment is when a fault is there.
type Moment uint8

const (
	Before Moment = 1 << iota
	After
	Always = Before | After
)

// Moments in the order in which they are tried.
var Moments = [...]Moment{Before, After, Always}

func (m Moment) At(k int) bool { return m&(1<<k) != 0 }

// Timed is a fault and when it is there.
type Timed struct {
	*fault.Variant
	When Moment
}

// PairFit is a set of timed faults fitted to both surveys.
type PairFit struct {
	Faults   []Timed
	rows     []*Wrong // of the second survey
	At       Point    // joint parameters; severities
	Evidence float64
	Prior    float64
	Key      string
	Ok       bool
	Settled  bool
	Grown    bool

	H, R     []float64
	Y, Noise []float64 // as read, and the variance of the fresh errors
	J, Jz    *mat.Dense
	Shared   *mat.SymDense // J C Jᵀ at the usual spread
	Chol     numeric.Cholesky
	Alpha    *mat.VecDense
	quad     float64
	Left     float64 // nats that the evidence would promise too much: the fit has not settled
}

func (f *PairFit) Score() float64 {
	if !f.Ok || math.IsNaN(f.Evidence) {
		return math.Inf(-1)
	}
	return f.Evidence + f.Prior
}

func NewPair(a, b *Study, shared Prior) *Pair {
	p := &Pair{S: [2]*Study{a, b}, shared: shared, PriorScale: 1, NoiseScale: 1, Common: a.Own, first: a.N - a.Own, Aside: [2]map[int]bool{{}, {}}}
	p.N = a.N + b.N - b.Own
	return p
}

// Twin is the same pair with solver states of its own.
func (p *Pair) Twin() *Pair {
	t := *p
	t.S = [2]*Study{p.S[0].Twin(), p.S[1].Twin()}
	return &t
}

// Size is the number of observations of both.
func (p *Pair) Size() int { return len(p.S[0].Observation) + len(p.S[1].Observation) }

// Column is where a parameter of survey k stands in the pair.
func (p *Pair) Column(k, x int) int {
	if k == 1 && x >= p.Common {
		return x + p.first
	}
	return x
}

// Part is survey k's share of a fit, with the faults that it has, and which of
// the pair's those are.
func (p *Pair) Part(k int, f *PairFit) (Point, Hypothesis, []int) {
	q := Point{Theta: make([]float64, p.S[k].N)}
	for x := range q.Theta {
		q.Theta[x] = f.At.Theta[p.Column(k, x)]
	}
	var h Hypothesis
	if k == 1 {
		h.Rows = f.rows
	}
	var ix []int
	for i, x := range f.Faults {
		if x.When.At(k) {
			h.Faults, q.Z, ix = append(h.Faults, x.Variant), append(q.Z, f.At.Z[i]), append(ix, i)
		}
	}
	return q, h, ix
}

// Row is where survey k's observations begin.
func (p *Pair) Row(k int) int { return k * len(p.S[0].Observation) }

// Predict writes what a fit makes of each observation into out.
func (p *Pair) Predict(f *PairFit, out []float64) error {
	for k, s := range p.S {
		q, h, _ := p.Part(k, f)
		if err := s.Predict(q, h, out[p.Row(k):p.Row(k)+len(s.Observation)]); err != nil {
			return err
		}
	}
	return nil
}

// SlopesAt fills j and jz at the point last predicted.
func (p *Pair) SlopesAt(f *PairFit) {
	f.J.Zero()
	if f.Jz != nil {
		f.Jz.Zero()
	}
	for k, s := range p.S {
		q, h, ix := p.Part(k, f)
		s.SetCoefs(q, h.Faults)
		j := mat.NewDense(len(s.Observation), s.N, nil)
		var jz *mat.Dense
		if len(ix) > 0 {
			jz = mat.NewDense(len(s.Observation), len(ix), nil)
		}
		s.Jacobian(q, h, j, jz)
		for i := range s.Observation {
			to := f.J.RawRowView(p.Row(k) + i)
			for x, v := range j.RawRowView(i) {
				to[p.Column(k, x)] += v
			}
			for c, x := range ix {
				f.Jz.Set(p.Row(k)+i, x, jz.At(i, c))
			}
		}
	}
	p.share(f)
}

// share works out what the readings share by the prior alone, without the factor on the spread.
func (p *Pair) share(f *PairFit) {
	if f.Shared == nil {
		f.Shared = mat.NewSymDense(p.Size(), nil)
	}
	S := f.Shared.RawSymmetric()
	blas64.Syrk(blas.NoTrans, p.shared.Scale, f.J.RawMatrix(), 0, S)
	if v := p.shared.V; v != nil {
		var jv mat.Dense
		jv.Mul(f.J.Slice(0, p.Size(), 0, p.Common), v)
		blas64.Syrk(blas.NoTrans, -1, jv.RawMatrix(), 1, S)
	}
}

// Mean is the prior mean of a joint parameter.
func (p *Pair) Mean(x int) float64 {
	if x < len(p.shared.Mean) {
		return p.shared.Mean[x]
	}
	return 0
}

func (p *Pair) Start() Point {
	t := make([]float64, p.N)
	copy(t, p.shared.Mean)
	return Point{Theta: t, Dual: make([]float64, p.N)}
}

// Cov is the prior covariance of the joint parameters times x.
func (p *Pair) Cov(x *mat.VecDense) *mat.VecDense {
	k2 := p.PriorScale * p.PriorScale
	out := mat.NewVecDense(p.N, nil)
	out.ScaleVec(k2*p.shared.Scale, x)
	if v := p.shared.V; v != nil {
		_, k := v.Dims()
		a, b := mat.NewVecDense(k, nil), mat.NewVecDense(p.Common, nil)
		a.MulVec(v.T(), x.SliceVec(0, p.Common))
		b.MulVec(v, a)
		head := out.SliceVec(0, p.Common).(*mat.VecDense)
		head.AddScaledVec(head, -k2, b)
	}
	return out
}

// Factor builds the covariance of all readings at the current linearisation.
func (p *Pair) Factor(f *PairFit) bool {
	m := p.Size()
	S := f.Chol.Room(m)
	S.ScaleSym(p.PriorScale*p.PriorScale, f.Shared)
	for c, x := range f.Faults {
		sd := x.Usual().Sd
		S.SymRankOne(S, sd*sd, f.Jz.ColView(c))
	}
	for i := range m {
		S.SetSym(i, i, S.At(i, i)+f.Noise[i]*p.NoiseScale*p.NoiseScale)
	}
	return f.Chol.Factorize(S)
}

// Weigh works out the evidence.
func (p *Pair) Weigh(f *PairFit) bool {
	m := p.Size()
	f.R = make([]float64, m)
	for n := range f.R {
		r := f.Y[n] - f.H[n]
		for x, v := range f.J.RawRowView(n) {
			if v != 0 {
				r += v * (f.At.Theta[x] - p.Mean(x))
			}
		}
		for c, x := range f.Faults {
			r += f.Jz.At(n, c) * (f.At.Z[c] - x.Usual().Mean)
		}
		f.R[n] = r
	}
	f.Alpha = mat.NewVecDense(m, nil)
	rv := mat.NewVecDense(m, f.R)
	if !numeric.Solved(f.Chol.SolveVecTo(f.Alpha, rv)) {
		return false
	}
	f.quad = mat.Dot(rv, f.Alpha)
	f.Evidence = -0.5*f.quad - 0.5*f.Chol.LogDet() - 0.5*float64(m)*math.Log(2*math.Pi) + p.rowsWeight(f)
	return !math.IsNaN(f.Evidence)
}

// target is where the linearised posterior has its mean.
func (p *Pair) target(f *PairFit) Point {
	t := mat.NewVecDense(p.N, nil)
	t.MulVec(f.J.T(), f.Alpha)
	next := Point{Theta: make([]float64, p.N), Z: make([]float64, len(f.Faults)), Dual: make([]float64, p.N)}
	floats.AddScaled(next.Dual, p.PriorScale*p.PriorScale, t.RawVector().Data)
	t = p.Cov(t)
	for x := range next.Theta {
		next.Theta[x] = p.Mean(x) + t.AtVec(x)
	}
	for c, x := range f.Faults {
		sp := x.Usual()
		next.Z[c] = sp.Mean + sp.Sd*sp.Sd*mat.Dot(f.Jz.ColView(c), f.Alpha)
	}
	return next
}

// rowsWeight is what the evidence owes to rows that are wrong or set aside: a
// row of which nothing is believed counts for nothing.
func (p *Pair) rowsWeight(f *PairFit) float64 {
	var out float64
	none := func(n int) { out += 0.5 * math.Log(2*math.Pi*f.Noise[n]*p.NoiseScale*p.NoiseScale) }
	for k := range p.S {
		for i := range p.S[k].Observation {
			if p.Aside[k][i] {
				none(p.Row(k) + i)
			}
		}
	}
	for _, w := range f.rows {
		out += w.Log
		if w.Drop {
			none(p.Row(1) + w.Observation)
		}
	}
	return out
}

// Fit finds the most probable parameters under a set of faults, and its
// evidence, as a study does. One that sticks is tried again from the prior.
func (p *Pair) Fit(faults []Timed, rows []*Wrong, start Point) *PairFit {
	f := p.FitFrom(faults, rows, start)
	was := p.ending(f)
	if was.stands() {
		return f
	}
	if again := p.FitFrom(faults, rows, p.Start()); was.outdoneBy(p.ending(again)) {
		return again
	}
	return f
}

func (p *Pair) FitFrom(faults []Timed, rows []*Wrong, start Point) *PairFit {
	f := p.Begin(faults, rows, start)
	if p.Predict(f, f.H) != nil {
		return f
	}
	x, moved := TwoFit{p, f}, math.Inf(1)
	for range fitSteps {
		// After a small step the old linearisation serves for one more target.
		afresh := moved > smallStep
		if afresh {
			p.SlopesAt(f)
			if !p.Factor(f) {
				return f
			}
		}
		if !p.Weigh(f) {
			return f
		}
		if toCome(x, moved) < settledGain {
			if !afresh && !p.exactly(f) {
				return f
			}
			if afresh = true; toCome(x, moved) < settledGain {
				f.Settled, f.Ok = true, true
				return f
			}
		}
		var went bool
		if moved, went = Advance(x, p.target(f), TriesOf(afresh)); !went {
			if afresh {
				break
			}
			moved = math.Inf(1)
		}
	}
	if !p.exactly(f) {
		return f
	}
	if f.Left = toCome(x, moved); math.IsInf(f.Left, 0) {
		f.Left = 0
	}
	f.Evidence -= f.Left
	f.Ok = true
	return f
}

// exactly takes the evidence with everything linearised at the point reached.
func (p *Pair) exactly(f *PairFit) bool {
	p.SlopesAt(f)
	return p.Factor(f) && p.Weigh(f)
}

// Begin sets a fit up.
func (p *Pair) Begin(faults []Timed, rows []*Wrong, start Point) *PairFit {
	m := p.Size()
	f := &PairFit{Faults: faults, rows: rows, At: start.Clone(), H: make([]float64, m), Y: make([]float64, m), Noise: make([]float64, m), J: mat.NewDense(m, p.N, nil)}
	for len(f.At.Z) < len(faults) {
		f.At.Z = append(f.At.Z, faults[len(f.At.Z)].Usual().Mean)
	}
	if len(faults) > 0 {
		f.Jz = mat.NewDense(m, len(faults), nil)
	}
	if f.At.Dual == nil && p.shared.V == nil {
		f.At.Dual = slices.Clone(f.At.Theta)
		for x := range f.At.Dual {
			f.At.Dual[x] = (f.At.Theta[x] - p.Mean(x)) / p.shared.Scale
		}
	}
	for k, s := range p.S {
		_, h, _ := p.Part(k, f)
		lo, hi := p.Row(k), p.Row(k)+len(s.Observation)
		s.observe(h, &Detail{Y: f.Y[lo:hi], Noise: f.Noise[lo:hi]})
		for i := range p.Aside[k] {
			f.Noise[lo+i] *= SetAside
		}
	}
	return f
}

// TwoFit is where a fit of both surveys stands.
type TwoFit struct {
	P *Pair
	F *PairFit
}

func (x TwoFit) point() *Point { return &x.F.At }

func (x TwoFit) quad() float64 { return x.F.quad }

func (x TwoFit) lose() { x.F.H[0] = math.NaN() }

func (x TwoFit) predict() error { return x.P.Predict(x.F, x.F.H) }

func (x TwoFit) try() (ok, on bool) { return x.predict() == nil, true }

// bent is not wanted: both surveys are small.
func (x TwoFit) bent() (Point, bool) { return Point{}, false }

func (x TwoFit) Cost() float64 {
	p, f := x.P, x.F
	return costs{f.Y, f.H, f.Noise, p.shared.Mean, p.PriorScale, p.NoiseScale}.of(f.At, func(k int) fault.SeverityPrior { return f.Faults[k].Usual() })
}

// Variance is the posterior variance of a quantity with gradient g by the joint
// parameters and gz by the severities.
func (p *Pair) Variance(f *PairFit, g, gz []float64) float64 {
	gv := mat.NewVecDense(p.N, g)
	cg := p.Cov(gv)
	v := mat.Dot(cg, gv)
	t := mat.NewVecDense(p.Size(), nil)
	t.MulVec(f.J, cg)
	for k := range gz {
		sd := f.Faults[k].Usual().Sd
		v += gz[k] * gz[k] * sd * sd
		t.AddScaledVec(t, sd*sd*gz[k], f.Jz.ColView(k))
	}
	return math.Max(v-numeric.SolveDot(&f.Chol, t), minVariance)
}

// Oddest is the observation that lies furthest off what all others make of it.
func (p *Pair) Oddest(f *PairFit) (k, i int, far float64) {
	var inv mat.SymDense
	if !numeric.Solved(f.Chol.InverseTo(&inv)) {
		return 0, 0, 0
	}
	for s := range p.S {
		for o := range p.S[s].Observation {
			n := p.Row(s) + o
			if z := math.Abs(f.Alpha.AtVec(n)) / math.Sqrt(inv.At(n, n)); z > far && !p.Aside[s][o] {
				k, i, far = s, o, z
			}
		}
	}
	return k, i, far
}

// Fits is the value that would fit in place of an observation set aside.
func (p *Pair) Fits(f *PairFit, k, i int) float64 { return f.H[p.Row(k)+i] }
