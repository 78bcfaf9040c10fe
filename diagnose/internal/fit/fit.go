package fit

import (
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/branch"
	"lostair/diagnose/internal/numeric"
)

// Detail is the linearisation at the end of a fit, for screening,
// intervals and evidence.
type Detail struct {
	H          []float64 // predicted
	J, Jz      *mat.Dense
	Rows       *branch.Rows // in place of j, of a large or thinned survey
	rowsAt     []float64    // what each reading was when its row was worked out
	stale      []bool       // rows of j that shared does not know yet
	noiseScale bool         // chol is of what was shared before

	shared     []float64       // J C Jᵀ at the usual spread, upper half
	borrowed   bool            // shared is another's too
	parts      *branch.Factors // in its place, of a large survey
	jv         *mat.Dense      // J·V of its rows
	sharedRows *branch.Rows    // in place of j: the rows it was worked out with

	Chol  numeric.Cholesky
	Sound numeric.Cholesky // of S without the faults' part, where the parameters are held
	Alpha *mat.VecDense    // S⁻¹ r
	R     []float64
	Y     []float64
	Noise []float64 // variance of the fresh errors
	Quad  float64   // rᵀ S⁻¹ r

	ref   *Detail // a linearisation to take over from what has not changed; nil: none
	exact bool    // nothing is taken over that has changed at all

	Left     float64 // nats that the evidence would promise too much: the fit has not settled
	Unsolved int     // points tried that could not be solved
}

const (
	fitSteps     = 25
	fewSteps     = 9   // of a thinned survey
	swinging     = 0.7 // of the step before: after a longer one the steps of a thinned survey are shortened
	patience     = 1   // steps of a fit before it may be given up
	PatienceFar  = 3   // the same from the prior mean, which may lie far off
	stillToCome  = 4.0 // times what a step gained, that those to come may gain
	Hopeless     = 20. // nats below the best at which a fit is given up: what is left of it weighs nothing
	smallStep    = 0.3 // in standard deviations of a parameter
	settledStep  = 0.03
	settledGain  = 0.005 // nats that a further step may promise to a fit that has settled
	roughGain    = 0.2   // the same of one that
	hardlyCounts = 4.0   // lies so many nats below the best
	mostOwed     = 2.0   // nats that may still be promised where steps gain nothing
	roughly      = 25.   // nats that the evidence may be off while S is not worked out
)

// Fit finds the most probable parameters under a hypothesis by Gauss–Newton,
// relinearising at each step, and the evidence by the linearised marginal:
// with y ≈ h + J(θ−θ₀) + Jz(z−z₀), the readings are normal about the prior mean
// with covariance S = R + J C Jᵀ + Jz Z Jzᵀ.
//
// A fit that does not settle from the given start, or fits badly, is tried
// again from the prior mean; the better one stands.
func (s *Study) Fit(h Hypothesis, start Point, how ...Settings) *Fit {
	f := s.FitFrom(h, start, patience, how...)
	if f.GivenUp() {
		return f // what does not fit there is not worth the time
	}
	if s.Lost != nil && f.Ok() {
		if !s.Large() {
			s.unstick(f, those(how))
		}
		return f
	}
	was := s.ending(f)
	if was.stands() {
		return f
	}
	if again := s.Afresh(h, how...); was.outdoneBy(s.ending(again)) {
		return again
	}
	return f
}

// Afresh fits from the prior mean.
func (s *Study) Afresh(h Hypothesis, how ...Settings) *Fit {
	return s.FitFrom(h, s.Before(), PatienceFar, how...)
}

// steps is how many steps a fit may take.
func (s *Study) steps(how Settings) int {
	if s.Thinned() && !how.exact {
		return fewSteps
	}
	return fitSteps
}

// FitFrom fits from one start, and may give up after so many steps. A fit has
// settled when a further step promises to make it hardly more probable: the
// readings may tell far smaller moves than the prior.
func (s *Study) FitFrom(h Hypothesis, start Point, patience int, settings ...Settings) *Fit {
	how := those(settings)
	f, d, ok := s.Begin(h, start, how)
	if !ok {
		return f
	}
	x, moved, damp, gained := OneFit{s, f, d, how}, math.Inf(1), 1.0, math.Inf(1)
	for k := range s.steps(how) {
		if s.Stopped() {
			return f
		}
		last := f.Evidence
		// After a small step the old linearisation serves for one more target.
		afresh := moved > smallStep
		if afresh {
			s.linearise(f, d)
			if !s.factorAs(f, d, false) {
				return f
			}
		}
		if !s.weigh(f, d) {
			return f
		}
		bar := how.floor()
		if d.noiseScale {
			bar -= roughly
		}
		if k >= patience && f.Evidence+stillToCome*max(f.Evidence-last, 0) < bar {
			f.Status = GivenUp
			return f
		}
		enough := s.settled(how)
		if f.Evidence < how.floor()+Hopeless-hardlyCounts {
			enough = roughGain
		}
		if x.arrived(moved, gained, enough) {
			if !s.exactly(f, d, afresh) {
				return f
			}
			if afresh = true; x.arrived(moved, gained, enough) {
				if left := toCome(x, moved); !s.Large() && left > enough {
					d.Left = left
					f.Evidence -= left
				}
				f.Fit, f.Status = d, Settled
				return f
			}
		}
		next, cost := s.target(f, d), x.Cost()
		before := moved
		next.Towards(f.At, 1-damp)
		var went bool
		moved, went = Advance(x, next, TriesOf(afresh))
		if !went && afresh {
			break
		}
		if afresh {
			gained = cost - x.Cost()
		}
		if !went {
			moved = math.Inf(1)
			continue
		}
		if moved /= damp; s.Thinned() && moved > swinging*before {
			damp = max(damp/2, 0.25)
		}
	}
	if !s.exactly(f, d, false) {
		return f
	}
	if d.Left = toCome(x, moved); math.IsInf(d.Left, 0) {
		d.Left = 0
	}
	f.Evidence -= d.Left
	f.Fit, f.Status = d, Short
	return f
}

// exactly takes the evidence with everything linearised at the point reached.
func (s *Study) exactly(f *Fit, d *Detail, afresh bool) bool {
	if !afresh {
		s.linearise(f, d)
	}
	return (afresh && !d.noiseScale || s.factor(f, d)) && s.weigh(f, d)
}

// Begin sets a fit up and predicts at its start.
func (s *Study) Begin(h Hypothesis, start Point, settings ...Settings) (*Fit, *Detail, bool) {
	how := those(settings)
	f := &Fit{Hypothesis: h, At: start.Clone()}
	for len(f.At.Z) < len(h.Faults) {
		f.At.Z = append(f.At.Z, h.Faults[len(f.At.Z)].Usual().Mean)
	}
	if len(f.At.Dual) != s.N {
		f.At.Dual = nil
		if slices.Equal(f.At.Theta, s.Pr.Mean) {
			f.At.Dual = make([]float64, s.N)
		}
	}
	m := len(s.Observation)
	d := &Detail{H: make([]float64, m), R: make([]float64, m), Y: make([]float64, m), Noise: make([]float64, m), ref: how.Near, exact: how.exact}
	if d.ref == nil && !d.exact {
		d.ref = s.Ref
	}
	if s.Lost == nil {
		d.J = mat.NewDense(m, s.N, nil)
	}
	if len(h.Faults) > 0 {
		d.Jz = mat.NewDense(m, len(h.Faults), nil)
	}
	s.observe(h, d)
	return f, d, s.Predict(f.At, h, d.H) == nil
}

// Linearised is a hypothesis at a given point, not fitted.
func (s *Study) Linearised(h Hypothesis, at Point) *Fit {
	f, d, ok := s.Begin(h, at)
	if !ok {
		return f
	}
	s.linearise(f, d)
	if s.factor(f, d) && s.weigh(f, d) {
		f.Status = Short
	}
	f.Fit = d
	return f
}

// Oddest is the observation that lies furthest off what all others make of it, with what
// would fit in its place, and how many standard deviations off it is; those of which
// nothing is believed and those to be kept are left out. -1: none.
func (s *Study) Oddest(f *Fit, keep map[int]bool) (i int, fits, far float64) {
	var inv mat.SymDense
	if !numeric.Solved(f.Fit.Chol.InverseTo(&inv)) {
		return -1, 0, 0
	}
	out := maps.Clone(keep)
	if out == nil {
		out = map[int]bool{}
	}
	for _, w := range f.Rows {
		out[w.Observation] = out[w.Observation] || w.Drop
	}
	i = -1
	for x := range s.Observation {
		a, v := f.Fit.Alpha.AtVec(x), inv.At(x, x)
		if z := math.Abs(a) / math.Sqrt(v); z > far && !out[x] {
			i, fits, far = x, f.Fit.Y[x]-a/v, z
		}
	}
	return i, fits, far
}

// Straight is a hypothesis fitted in one step, on the straight line from a point: the
// model is linearised there and not solved again.
func (s *Study) Straight(h Hypothesis, from Point) *Fit {
	f := s.Linearised(h, from)
	if f.Ok() {
		f.At = s.target(f, f.Fit)
	}
	return f
}

// observe sets the observed values and fresh variances under the hypothesis.
func (s *Study) observe(h Hypothesis, d *Detail) {
	for i := range s.Observation {
		o := &s.Observation[i]
		d.Y[i] = o.Y
		d.Noise[i] = s.BaseNoise(i)
	}
	for _, w := range h.Rows {
		if w.Drop {
			d.Noise[w.Observation] *= SetAside
			continue
		}
		if w.Slip() {
			d.Y[w.Observation] = w.Y
			d.Noise[w.Observation] = w.Noise()
		}
	}
}

// SetAside is the factor on the variance of a row of which nothing is believed.
const SetAside = 1e10

// BaseNoise is the variance of what is new in each observation.
func (s *Study) BaseNoise(i int) float64 {
	o := &s.Observation[i]
	return o.Fresh*o.Fresh + ModelError*ModelError*o.Y*o.Y
}

// Noise is the same of a row read right and written wrong.
func (w *Wrong) Noise() float64 { return w.Fresh*w.Fresh + ModelError*ModelError*w.Y*w.Y }

// ModelError is what the model itself may be off from reading to reading, as a share.
const ModelError = 0.001

// factor builds S at the current linearisation and factors it.
func (s *Study) factor(f *Fit, d *Detail) bool { return s.factorAs(f, d, true) }

// factorAs does so, or, if it need not be exact and that is worth while, with
// what the readings shared before: then it helps to solve with S, and gives
// the evidence roughly.
func (s *Study) factorAs(f *Fit, d *Detail, exact bool) bool {
	if s.Large() {
		return s.factorPatches(f, d)
	}
	S := d.Chol.Room(len(s.Observation))
	d.noiseScale = !exact && !s.Held && d.shared != nil && d.Rows == nil && s.Pr.V != nil && slices.Contains(d.stale, true)
	if !d.noiseScale {
		s.Share(d)
	}
	s.Spread(d, S)
	if s.Held && !s.factorSound(d, S) {
		return false
	}
	s.addFaults(S, f, d)
	return d.Chol.Factorize(S)
}

// factorSound factors S without the faults' part.
func (s *Study) factorSound(d *Detail, S *mat.SymDense) bool {
	sound := d.Sound.Room(len(s.Observation))
	sound.CopySym(S)
	s.addFresh(sound, d)
	return d.Sound.Factorize(sound)
}

// addFaults adds to S what the faults' severities and the fresh errors spread.
func (s *Study) addFaults(S *mat.SymDense, f *Fit, d *Detail) {
	m := len(s.Observation)
	if nz := len(f.Faults); nz > 0 {
		scaled := mat.DenseCopyOf(d.Jz)
		for x := range nz {
			for i := range m {
				scaled.Set(i, x, scaled.At(i, x)*f.Faults[x].Usual().Sd)
			}
		}
		blas64.Syrk(blas.NoTrans, 1, scaled.RawMatrix(), 1, S.RawSymmetric())
	}
	s.addFresh(S, d)
}

// addFresh adds to S what the fresh errors spread.
func (s *Study) addFresh(S *mat.SymDense, d *Detail) {
	for i, v := range d.Noise {
		S.SetSym(i, i, S.At(i, i)+v*s.NoiseScale*s.NoiseScale)
	}
}

// weigh works out the evidence with the S last factored.
func (s *Study) weigh(f *Fit, d *Detail) bool {
	m, n, nz := len(s.Observation), s.N, len(f.Faults)
	off := make([]float64, n)
	floats.SubTo(off, f.At.Theta, s.Pr.Mean)
	by := d.Times(off)
	for i := range m {
		r := d.Y[i] - d.H[i]
		r += by[i]
		for k := range nz {
			r += d.Jz.At(i, k) * (f.At.Z[k] - f.Faults[k].Usual().Mean)
		}
		d.R[i] = r
	}
	d.Alpha = mat.NewVecDense(m, nil)
	rv := mat.NewVecDense(m, d.R)
	if d.noiseScale && !s.refine(f, d) && !s.factor(f, d) {
		return false
	}
	if !d.noiseScale && !numeric.Solved(d.Chol.SolveVecTo(d.Alpha, rv)) {
		return false
	}
	d.Quad = mat.Dot(rv, d.Alpha)
	f.Evidence = -0.5*d.Quad - 0.5*d.Chol.LogDet() - 0.5*float64(m)*math.Log(2*math.Pi)
	for _, w := range f.Rows {
		f.Evidence += w.Log
		if w.Drop {
			f.Evidence += 0.5 * math.Log(2*math.Pi*d.Noise[w.Observation]*s.NoiseScale*s.NoiseScale)
		}
	}
	return !math.IsNaN(f.Evidence)
}

// target is where the linearised posterior has its mean: θ = μ + C Jᵀ α.
func (s *Study) target(f *Fit, d *Detail) Point {
	next := Point{Theta: make([]float64, s.N), Z: make([]float64, len(f.Faults)), Dual: make([]float64, s.N)}
	back := d.Back(s.N)
	floats.AddScaled(next.Dual, s.PriorScale*s.PriorScale, back.RawVector().Data)
	t := s.Cov(back)
	for x := range next.Theta {
		next.Theta[x] = s.Pr.Mean[x] + t.AtVec(x)
	}
	if s.Held {
		next.Theta, next.Dual = slices.Clone(s.Pr.Mean), make([]float64, s.N)
	}
	for k := range next.Z {
		sp := f.Faults[k].Usual()
		var g float64
		for i := range d.R {
			g += d.Jz.At(i, k) * d.Alpha.AtVec(i)
		}
		next.Z[k] = sp.Mean + sp.Sd*sp.Sd*g
	}
	return next
}

// predictBriefly is predict, but gives a point up that is hard to solve: it is
// no place to go to. It counts them.
func (s *Study) predictBriefly(p Point, h Hypothesis, out []float64) error {
	return s.briefly(p, h, out, nil, false)
}

// PredictRoughly does so in the configurations that where says, as well as it
// takes to rate an idea.
func (s *Study) PredictRoughly(p Point, h Hypothesis, out []float64, where []bool) error {
	return s.briefly(p, h, out, where, true)
}

func (s *Study) briefly(p Point, h Hypothesis, out []float64, where []bool, roughly bool) error {
	for _, st := range s.States {
		st.Brief, st.Roughly = true, roughly
	}
	defer func() {
		for _, st := range s.States {
			st.Brief, st.Roughly = false, false
		}
	}()
	var err error
	if s.pair != nil { // which has one configuration for all
		err = s.Predict(p, h, out)
	} else {
		s.SetCoefs(p, h.Faults)
		err = s.PredictSet(p, h, out, where)
	}
	if err != nil {
		s.Hard++
	}
	return err
}

const (
	MostUnsolved = 6   // points of a fit that could not be solved before it goes no further
	MostHard     = 200 // points of a search that could not be solved before a fit goes no further at the first
)

// OneFit is where a fit stands, of one survey or of two weighed as one.
type OneFit struct {
	S   *Study
	F   *Fit
	D   *Detail
	How Settings
}

func (x OneFit) point() *Point { return &x.F.At }

func (x OneFit) quad() float64 { return x.D.Quad }

func (x OneFit) lose() { x.D.H[0] = math.NaN() }

func (x OneFit) predict() error { return x.S.Predict(x.F.At, x.F.Hypothesis, x.D.H) }

// try gives a fit up that comes upon too much that can't be solved.
func (x OneFit) try() (ok, on bool) {
	if x.S.predictBriefly(x.F.At, x.F.Hypothesis, x.D.H) == nil {
		return true, true
	}
	x.D.Unsolved++
	return false, x.D.Unsolved <= MostUnsolved && x.S.Hard <= MostHard
}

// arrived says that a further step promises less than enough or, of a large survey or
// a fit that need not be exact, that the last one gained hardly any of the little that
// is promised: along flat directions, such as how many shut gates share what they leak,
// steps go back and forth for nothing.
func (x OneFit) arrived(moved, gained, enough float64) bool {
	left := toCome(x, moved)
	return left < enough || (x.S.Large() || x.How.Enough > 0) && gained < enough && left < mostOwed
}

// bent is wanted of a large survey alone: a small one takes few steps as it is.
func (x OneFit) bent() (Point, bool) {
	if !x.S.Large() || !x.S.weigh(x.F, x.D) {
		return Point{}, false
	}
	return x.S.target(x.F, x.D), true
}

func (x OneFit) Cost() float64 {
	s, d := x.S, x.D
	if s.Held {
		return x.heldCost()
	}
	return costs{d.Y, d.H, d.Noise, s.Pr.Mean, s.PriorScale, s.NoiseScale}.of(x.F.At, func(k int) fault.SeverityPrior { return x.F.Faults[k].Usual() })
}

// heldCost counts what the parameters may be off as errors of the readings. Infinite
// where S is not known yet, or does not solve.
func (x OneFit) heldCost() float64 {
	d := x.D
	r, by := mat.NewVecDense(len(d.Y), nil), mat.NewVecDense(len(d.Y), nil)
	for i, y := range d.Y {
		r.SetVec(i, y-d.H[i])
	}
	if !numeric.Solved(d.Sound.SolveVecTo(by, r)) {
		return math.Inf(1)
	}
	sum := mat.Dot(r, by)
	for k, z := range x.F.At.Z {
		sp := x.F.Faults[k].Usual()
		sum += (z - sp.Mean) * (z - sp.Mean) / (sp.Sd * sp.Sd)
	}
	return sum / 2
}
