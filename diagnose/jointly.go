package diagnose

import (
	"math"

	"lostair/diagnose/airflow"
)

// joint weighs explanations by a survey and a baseline at once. What a baseline
// teaches is carried on as a mean and a covariance, and those hold near the
// mean: the loss of a leak grows with the exponential of its parameter, so a
// sound system may seem free to leak far more than the baseline ever allowed.
// So the search goes by what was carried on, which is fast, and what comes near
// the best is fitted to both surveys.
type joint struct {
	p      *pair
	alone  *study     // of the baseline
	sound  hypothesis // of the baseline, its wrong rows set aside
	at     point      // where the baseline's fit stands
	before prior      // known without it
	l      layout
	base   []float64 // log evidence of the baseline alone, by scale
	mean   float64   // the same over all scales
	spare  cholesky  // storage for a factor that is not kept
}

// jointMost is how many readings of survey and baseline are fitted at once.
const jointMost = 360

// newJoint pairs a survey with the baseline learned last; before is what was
// known without it. Nil if there is none, or too much of both.
func newJoint(m *airflow.Model, u *unknowns, l layout, b *bound, last *lesson, before prior) *joint {
	if last == nil || b.kept != nil || last.s.b.kept != nil || len(b.obs)+len(last.s.obs) > jointMost {
		return nil
	}
	f := last.g.all[0]
	j := &joint{p: newPair(newStudy(m, u, l, last.s.b, before), newStudy(m, u, l, b, before), before),
		alone: last.s, at: f.at, before: before, l: l}
	for _, w := range f.rows {
		j.p.aside[0][w.obs] = true
		j.sound.rows = append(j.sound.rows, &wrong{obs: w.obs, drop: true, cfg: -1})
	}
	return j
}

// scaled sets the factors on spreads and fresh errors, and works out how
// probable the baseline is by itself under these and others, and what it
// teaches under these; false if it can't be.
func (j *joint) scaled(k scale) (prior, bool) {
	j.p.kappa, j.p.rough = k.spread, k.fresh
	j.alone.kappa, j.alone.rough = k.spread, k.fresh
	f := j.alone.fit(j.sound, j.at)
	if !f.ok {
		return prior{}, false
	}
	taught, err := j.alone.taught(f, j.l, j.before)
	if err != nil {
		return prior{}, false
	}
	j.at = f.at
	var all, norm []float64
	j.base = nil
	for _, k := range scales() {
		v, ok := j.alone.rescaled(f, k.spread, k.fresh)
		if !ok {
			v = math.Inf(-1)
		}
		j.base = append(j.base, v)
		all, norm = append(all, v+k.prior), append(norm, k.prior)
	}
	j.mean = logSum(all) - logSum(norm)
	return taught, true
}

// of is the evidence of the baseline by itself under some factors.
func (j *joint) of(k scale) float64 {
	for i, x := range scales() {
		if x == k {
			return j.base[i]
		}
	}
	return math.Inf(-1)
}

// twin is the same with solver states of its own.
func (j *joint) twin() *joint {
	t := *j
	t.p, t.spare = j.p.twin(), cholesky{}
	return &t
}

// fit fits an explanation of the survey to both, from where the survey's own fit stands.
func (j *joint) fit(f *fitted) *pairFit {
	at := point{theta: make([]float64, j.p.n), z: f.at.z}
	copy(at.theta[j.p.common:], j.at.theta[j.alone.own:])
	for x, v := range f.at.theta {
		at.theta[j.p.column(1, x)] = v
	}
	var faults []timed
	for _, v := range f.faults {
		faults = append(faults, timed{v, after})
	}
	return j.p.fit(faults, f.rows, at)
}

// rescaled is the evidence of a fit under other factors.
func (j *joint) rescaled(f *pairFit, k scale) (float64, bool) {
	defer func(k, r float64) { j.p.kappa, j.p.rough = k, r }(j.p.kappa, j.p.rough)
	j.p.kappa, j.p.rough = k.spread, k.fresh
	x := *f
	x.chol = j.spare // not the fit's own storage
	ok := j.p.factor(&x) && j.p.weigh(&x)
	j.spare = x.chol
	return x.evidence - f.left, ok
}

// jointWindow is how far below the best, in nats, an explanation may lie and
// still be fitted to both; jointRounds is how often the search goes on from what
// is best then.
const (
	jointWindow = 8.0
	jointRounds = 2
)

// scaled sets the factors of a search.
func (g *search) scaled(k scale) {
	g.scale = k
	g.s.kappa, g.s.rough = k.spread, k.fresh
	defer func() {
		for _, t := range g.workers() {
			t.like(g.s)
		}
	}()
	if g.joint == nil {
		return
	}
	taught, ok := g.joint.scaled(k)
	if !ok {
		g.joint = nil
		return
	}
	g.s.believe(taught)
	g.s.kappa = 1 // the rest is in what was taught
	for len(g.both) < workers {
		g.both = append(g.both, g.joint.twin())
	}
	for _, t := range g.both {
		t.p.kappa, t.p.rough = g.joint.p.kappa, g.joint.p.rough
		t.at, t.base, t.mean = g.joint.at, g.joint.base, g.joint.mean
	}
}

// together gives all explanations that come near the best, and the sound
// system, the evidence of survey and baseline at once.
func (g *search) together() {
	if g.joint == nil {
		return
	}
	for {
		sortFits(g.all)
		var list []*fitted
		for _, f := range g.all {
			if f.both == nil && !f.apart && (f == g.sound || f.score() >= g.all[0].score()-jointWindow) {
				list = append(list, f)
			}
		}
		if len(list) == 0 {
			return
		}
		before := make([]float64, len(list))
		inPairs(len(list), func(i int) {
			f := list[i]
			before[i] = f.evidence - g.off
			if b := g.both[i%workers].fit(f); b.ok {
				f.both, f.evidence = b, b.evidence-g.joint.of(g.scale)
			}
			f.apart = f.both == nil
		})
		g.shift(list, before)
	}
}

// shift takes what was not fitted to both to gain by that as much as the best
// did, and what was only screened as much as that it was to be added to: a fit
// that had not settled gains far more than others.
func (g *search) shift(list []*fitted, before []float64) {
	best, off := math.Inf(-1), g.off
	for i, f := range list {
		if f.both == nil {
			continue
		}
		f.gain = f.evidence - before[i]
		if f.score() > best {
			best, off = f.score(), f.gain
		}
	}
	if best < g.best() {
		off = g.off
	}
	for _, f := range g.all {
		if f.both == nil {
			f.evidence += off - g.off
		}
	}
	g.off = off
	for i := range g.rest {
		x := &g.rest[i]
		now := g.gained(x.from)
		x.score += now - x.off
		x.off = now
	}
}

// gained is what is in a fit's evidence because it was fitted to both, or would be.
func (g *search) gained(f *fitted) float64 {
	if f.both != nil {
		return f.gain
	}
	return g.off
}
