package diagnose

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// fitDetail is the linearisation at the end of a fit, for screening,
// intervals and evidence.
type fitDetail struct {
	h      []float64 // predicted
	j, jz  *mat.Dense
	rows   []sparse  // in place of j, of a thinned survey
	rowsAt []float64 // what each reading was when its row was worked out
	stale  []bool    // rows of j that shared does not know yet
	rough  bool      // chol is of what was shared before

	shared     []float64  // J C Jᵀ at the usual spread, upper half
	jv         *mat.Dense // J·V of its rows
	sharedRows []sparse   // of a thinned survey: the rows it was worked out with

	chol  cholesky
	alpha *mat.VecDense // S⁻¹ r
	r     []float64
	y     []float64
	noise []float64 // variance of the fresh errors
	quad  float64   // rᵀ S⁻¹ r

	left     float64 // nats that the evidence would promise too much: the fit has not settled
	unsolved int     // points tried that could not be solved
}

const (
	fitSteps     = 25
	fewSteps     = 9   // of a thinned survey
	swinging     = 0.7 // of the step before: after a longer one the steps of a thinned survey are shortened
	patience     = 1   // steps of a fit before it may be given up
	patienceFar  = 3   // the same from the prior mean, which may lie far off
	stillToCome  = 4.0 // times what a step gained, that those to come may gain
	hopeless     = 20. // nats below the best at which a fit is given up: what is left of it weighs nothing
	smallStep    = 0.3 // in standard deviations of a parameter
	settledStep  = 0.03
	settledGain  = 0.02 // nats that a further step may promise to a fit that has settled
	roughGain    = 0.2  // the same of one that
	hardlyCounts = 4.0  // lies so many nats below the best
	roughly      = 25.  // nats that the evidence may be off while S is not worked out
)

// fit finds the most probable parameters under a hypothesis by Gauss–Newton,
// relinearising at each step, and the evidence by the linearised marginal:
// with y ≈ h + J(θ−θ₀) + Jz(z−z₀), the readings are normal about the prior mean
// with covariance S = R + J C Jᵀ + Jz Z Jzᵀ.
//
// A fit that does not settle from the given start, or fits badly, is tried
// again from the prior mean; the better one stands.
func (s *study) fit(h hypothesis, start point) *fitted {
	f := s.fitFrom(h, start, patience)
	if f.hopeless {
		return f // what does not fit there is not worth the time
	}
	if s.lost != nil && f.ok {
		s.unstick(f)
		return f
	}
	if f.ok && f.settled && f.fit.quad < poorFit*float64(len(s.obs)) {
		return f
	}
	again := s.afresh(h)
	if again.ok && (!f.ok || again.settled && !f.settled || again.settled == f.settled && again.evidence > f.evidence) {
		return again
	}
	return f
}

// afresh fits from the prior mean.
func (s *study) afresh(h hypothesis) *fitted { return s.fitFrom(h, s.before(), patienceFar) }

// poorFit is the misfit per observation above which a second start is tried.
const poorFit = 2.5

// steps is how many steps a fit may take.
func (s *study) steps() int {
	if s.lost != nil && !s.exact {
		return fewSteps
	}
	return fitSteps
}

// fitFrom fits from one start, and may give up after so many steps. A fit has
// settled when a further step promises to make it hardly more probable: the
// readings may tell far smaller moves than the prior.
func (s *study) fitFrom(h hypothesis, start point, patience int) *fitted {
	f, d, ok := s.begin(h, start)
	if !ok {
		return f
	}
	x, moved, damp := oneFit{s, f, d}, math.Inf(1), 1.0
	for k := range s.steps() {
		last := f.evidence
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
		bar := s.bar
		if d.rough {
			bar -= roughly
		}
		if k >= patience && f.evidence+stillToCome*max(f.evidence-last, 0) < bar {
			f.hopeless = true
			return f
		}
		enough := settledGain
		if f.evidence < s.bar+hopeless-hardlyCounts {
			enough = roughGain
		}
		if toCome(x, moved) < enough {
			if !s.exactly(f, d, afresh) {
				return f
			}
			if afresh = true; toCome(x, moved) < enough {
				f.fit, f.ok, f.settled = d, true, true
				return f
			}
		}
		next := s.target(f, d)
		before := moved
		next.towards(f.at, 1-damp)
		var went bool
		moved, went = advance(x, next, triesOf(afresh))
		if !went && afresh {
			break
		}
		if !went {
			moved = math.Inf(1)
			continue
		}
		if moved /= damp; s.lost != nil && moved > swinging*before {
			damp = max(damp/2, 0.25)
		}
	}
	if !s.exactly(f, d, false) {
		return f
	}
	if d.left = toCome(x, moved); math.IsInf(d.left, 0) {
		d.left = 0
	}
	f.evidence -= d.left
	f.fit, f.ok = d, true
	return f
}

// exactly takes the evidence with everything linearised at the point reached.
func (s *study) exactly(f *fitted, d *fitDetail, afresh bool) bool {
	if !afresh {
		s.linearise(f, d)
	}
	return (afresh && !d.rough || s.factor(f, d)) && s.weigh(f, d)
}

// begin sets a fit up and predicts at its start.
func (s *study) begin(h hypothesis, start point) (*fitted, *fitDetail, bool) {
	f := &fitted{hypothesis: h, at: start.clone()}
	for len(f.at.z) < len(h.faults) {
		f.at.z = append(f.at.z, severities[h.faults[len(f.at.z)].kind].mean)
	}
	if len(f.at.dual) != s.n {
		f.at.dual = nil
		if slices.Equal(f.at.theta, s.pr.mean) {
			f.at.dual = make([]float64, s.n)
		}
	}
	m := len(s.obs)
	d := &fitDetail{h: make([]float64, m), r: make([]float64, m), y: make([]float64, m), noise: make([]float64, m)}
	if s.lost == nil {
		d.j = mat.NewDense(m, s.n, nil)
	}
	if len(h.faults) > 0 {
		d.jz = mat.NewDense(m, len(h.faults), nil)
	}
	s.observe(h, d)
	return f, d, s.predict(f.at, h, d.h) == nil
}

// linearised is a hypothesis at a given point, not fitted.
func (s *study) linearised(h hypothesis, at point) *fitted {
	f, d, ok := s.begin(h, at)
	if !ok {
		return f
	}
	s.linearise(f, d)
	f.ok = s.factor(f, d) && s.weigh(f, d)
	f.fit = d
	return f
}

// observe sets the observed values and fresh variances under the hypothesis.
func (s *study) observe(h hypothesis, d *fitDetail) {
	for i := range s.obs {
		o := &s.obs[i]
		d.y[i] = o.y
		d.noise[i] = s.baseNoise(i)
	}
	for _, w := range h.rows {
		if w.drop {
			d.noise[w.obs] *= setAside
			continue
		}
		if w.slip() {
			d.y[w.obs] = w.y
			d.noise[w.obs] = w.noise()
		}
	}
}

// setAside is the factor on the variance of a row of which nothing is believed.
const setAside = 1e10

// baseNoise is the variance of what is new in each observation.
func (s *study) baseNoise(i int) float64 {
	o := &s.obs[i]
	return o.fresh*o.fresh + modelError*modelError*o.y*o.y
}

// noise is the same of a row read right and written wrong.
func (w *wrong) noise() float64 { return w.fresh*w.fresh + modelError*modelError*w.y*w.y }

// modelError is what the model itself may be off from reading to reading, as a share.
const modelError = 0.001

// factor builds S at the current linearisation and factors it.
func (s *study) factor(f *fitted, d *fitDetail) bool { return s.factorAs(f, d, true) }

// factorAs does so, or, if it need not be exact and that is worth while, with
// what the readings shared before: then it helps to solve with S, and gives
// the evidence roughly.
func (s *study) factorAs(f *fitted, d *fitDetail, exact bool) bool {
	S := d.chol.room(len(s.obs))
	d.rough = !exact && d.shared != nil && d.rows == nil && s.pr.v != nil && slices.Contains(d.stale, true)
	if !d.rough {
		s.share(d)
	}
	s.spread(d, S)
	s.addFaults(S, f, d)
	return d.chol.Factorize(S)
}

// addFaults adds to S what the faults' severities and the fresh errors spread.
func (s *study) addFaults(S *mat.SymDense, f *fitted, d *fitDetail) {
	m, nz := len(s.obs), len(f.faults)
	if nz > 0 {
		scaled := mat.DenseCopyOf(d.jz)
		for x := range nz {
			for i := range m {
				scaled.Set(i, x, scaled.At(i, x)*severities[f.faults[x].kind].sd)
			}
		}
		blas64.Syrk(blas.NoTrans, 1, scaled.RawMatrix(), 1, S.RawSymmetric())
	}
	for i := range m {
		S.SetSym(i, i, S.At(i, i)+d.noise[i]*s.rough*s.rough)
	}
}

// weigh works out the evidence with the S last factored.
func (s *study) weigh(f *fitted, d *fitDetail) bool {
	m, n, nz := len(s.obs), s.n, len(f.faults)
	off := make([]float64, n)
	floats.SubTo(off, f.at.theta, s.pr.mean)
	for i := range m {
		r := d.y[i] - d.h[i]
		r += d.times(i, off)
		for k := range nz {
			r += d.jz.At(i, k) * (f.at.z[k] - severities[f.faults[k].kind].mean)
		}
		d.r[i] = r
	}
	d.alpha = mat.NewVecDense(m, nil)
	rv := mat.NewVecDense(m, d.r)
	if d.rough && !s.refine(f, d) && !s.factor(f, d) {
		return false
	}
	if !d.rough && !solved(d.chol.SolveVecTo(d.alpha, rv)) {
		return false
	}
	d.quad = mat.Dot(rv, d.alpha)
	f.evidence = -0.5*d.quad - 0.5*d.chol.LogDet() - 0.5*float64(m)*math.Log(2*math.Pi)
	for _, w := range f.rows {
		f.evidence += w.log
		if w.drop {
			f.evidence += 0.5 * math.Log(2*math.Pi*d.noise[w.obs]*s.rough*s.rough)
		}
	}
	return !math.IsNaN(f.evidence)
}

// target is where the linearised posterior has its mean: θ = μ + C Jᵀ α.
func (s *study) target(f *fitted, d *fitDetail) point {
	next := point{theta: make([]float64, s.n), z: make([]float64, len(f.faults)), dual: make([]float64, s.n)}
	back := d.back(s.n)
	floats.AddScaled(next.dual, s.kappa*s.kappa, back.RawVector().Data)
	t := s.cov(back)
	for x := range next.theta {
		next.theta[x] = s.pr.mean[x] + t.AtVec(x)
	}
	for k := range next.z {
		sp := severities[f.faults[k].kind]
		var g float64
		for i := range d.r {
			g += d.jz.At(i, k) * d.alpha.AtVec(i)
		}
		next.z[k] = sp.mean + sp.sd*sp.sd*g
	}
	return next
}

// predictBriefly is predict, but gives a point up that is hard to solve: it is
// no place to go to. It counts them.
func (s *study) predictBriefly(p point, h hypothesis, out []float64) error {
	return s.briefly(p, h, out, nil, false)
}

// predictRoughly does so in the configurations that where says, as well as it
// takes to rate an idea.
func (s *study) predictRoughly(p point, h hypothesis, out []float64, where []bool) error {
	return s.briefly(p, h, out, where, true)
}

func (s *study) briefly(p point, h hypothesis, out []float64, where []bool, roughly bool) error {
	for _, st := range s.states {
		st.Brief, st.Roughly = true, roughly
	}
	defer func() {
		for _, st := range s.states {
			st.Brief, st.Roughly = false, false
		}
	}()
	s.setCoefs(p, h.faults)
	err := s.predictSet(p, h, out, where)
	if err != nil {
		s.hard++
	}
	return err
}

const (
	mostUnsolved = 6   // points of a fit that could not be solved before it goes no further
	mostHard     = 200 // points of a search that could not be solved before a fit goes no further at the first
)

// oneFit is where a fit of one survey stands.
type oneFit struct {
	s *study
	f *fitted
	d *fitDetail
}

func (x oneFit) point() *point { return &x.f.at }
func (x oneFit) quad() float64 { return x.d.quad }
func (x oneFit) lose()         { x.d.h[0] = math.NaN() }

func (x oneFit) predict() error { return x.s.predict(x.f.at, x.f.hypothesis, x.d.h) }

// try gives a fit up that comes upon too much that can't be solved.
func (x oneFit) try() (ok, on bool) {
	if x.s.predictBriefly(x.f.at, x.f.hypothesis, x.d.h) == nil {
		return true, true
	}
	x.d.unsolved++
	return false, x.d.unsolved <= mostUnsolved && x.s.hard <= mostHard
}

func (x oneFit) cost() float64 {
	s, d := x.s, x.d
	return costs{d.y, d.h, d.noise, s.pr.mean, s.kappa, s.rough}.of(x.f.at, func(k int) Kind { return x.f.faults[k].kind })
}
