package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/numeric"
)

const (
	MostUnsolved = 6   // points of a fit that could not be solved before it goes no further
	MostHard     = 200 // points of a search that could not be solved before a fit goes no further at the first
)

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

// steps is how many steps a fit may take.
func (s *Study) steps(how Settings) int {
	if s.Thinned() && !how.exact {
		return fewSteps
	}
	return fitSteps
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
