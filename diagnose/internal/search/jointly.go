package search

import (
	"math"
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
)

// Joint weighs explanations by a survey and a baseline at once. What a baseline
// teaches is carried on as a mean and a covariance, and those hold near the
// mean: the loss of a leak grows with the exponential of its parameter, so a
// sound system may seem free to leak far more than the baseline ever allowed.
// So the search goes by what was carried on, which is fast, and what comes near
// the best is fitted to both surveys.
type Joint struct {
	P      *fit.Pair
	alone  *fit.Study     // of the baseline
	Sound  fit.Hypothesis // of the baseline, its wrong rows set aside
	at     fit.Point      // where the baseline's fit stands
	before fit.Prior      // known without it
	l      fit.Layout
	base   []float64 // log evidence of the baseline alone, by scale
	Mean   float64   // the same over all scales
}

// jointMost is how many readings of survey and baseline are fitted at once.
const jointMost = 360

// NewJoint pairs a survey with the baseline learned last; before is what was
// known without it. Nil if there is none, or too much of both.
func NewJoint(m *airflow.Model, u *asbuilt.Unknowns, l fit.Layout, b *observe.Bound, last *BaselineFit, before fit.Prior) *Joint {
	if last == nil || b.Kept != nil || last.S.B.Kept != nil || len(b.Observation)+len(last.S.Observation) > jointMost {
		return nil
	}
	f := last.g.All[0]
	j := &Joint{P: fit.NewPair(fit.NewStudy(m, u, l, last.S.B, before), fit.NewStudy(m, u, l, b, before), before),
		alone: last.S, at: f.At, before: before, l: l}
	for _, w := range f.Rows {
		j.Sound.Rows = append(j.Sound.Rows, &fit.Wrong{Observation: w.Observation, Drop: true, Cfg: -1})
	}
	return j
}

// scaled sets the factors on spreads and fresh errors, and works out how
// probable the baseline is by itself under these and others, and what it
// teaches under these; false if it can't be.
func (j *Joint) scaled(k Scale) (fit.Prior, bool) {
	j.P.PriorScale, j.P.NoiseScale = k.Spread, k.Fresh
	j.alone.PriorScale, j.alone.NoiseScale = k.Spread, k.Fresh
	f := j.alone.Fit(j.Sound, j.at)
	if !f.Ok() {
		return fit.Prior{}, false
	}
	taught, err := j.alone.PriorAfter(f, j.l, j.before)
	if err != nil {
		return fit.Prior{}, false
	}
	j.at = f.At
	var all, norm []float64
	j.base = nil
	for _, k := range Scales() {
		v, ok := j.alone.Rescaled(f, k.Spread, k.Fresh)
		if !ok {
			v = math.Inf(-1)
		}
		j.base = append(j.base, v)
		all, norm = append(all, v+k.Prior), append(norm, k.Prior)
	}
	j.Mean = numeric.LogSumExp(all) - numeric.LogSumExp(norm)
	return taught, true
}

// Of is the evidence of the baseline by itself under some factors.
func (j *Joint) Of(k Scale) float64 {
	for i, x := range Scales() {
		if x == k {
			return j.base[i]
		}
	}
	return math.Inf(-1)
}

// twin is the same with solver states of its own.
func (j *Joint) twin() *Joint {
	t := *j
	t.P = j.P.Twin()
	return &t
}

// fit fits an explanation of the survey to both, from where the survey's own fit stands.
func (j *Joint) fit(f *fit.Fit) *fit.Fit {
	at := fit.Point{Theta: make([]float64, j.P.N), Z: f.At.Z}
	copy(at.Theta[j.P.Common:], j.at.Theta[j.alone.Own:])
	for x, v := range f.At.Theta {
		at.Theta[j.P.Column(1, x)] = v
	}
	h := fit.Hypothesis{Rows: slices.Concat(j.Sound.Rows, j.P.Rows(1, f.Rows))}
	for _, v := range f.Faults {
		h.Faults = append(h.Faults, v.In(fault.After))
	}
	return j.P.Fit(h, at)
}

// jointWindow is how far below the best, in nats, an explanation may lie and
// still be fitted to both; jointRounds is how often the search goes on from what
// is best then.
const (
	jointWindow = 8.0
	jointRounds = 2
	jointLeast  = 8 // explanations fitted to both under some factors whatever work was done before
)

// Scaled sets the factors of a search.
func (g *Search) Scaled(k Scale) {
	g.scale, g.must = k, jointLeast
	g.S.PriorScale, g.S.NoiseScale = k.Spread, k.Fresh
	defer func() {
		for _, t := range g.Workers() {
			t.Like(g.S)
		}
	}()
	if g.Joint == nil {
		return
	}
	taught, ok := g.Joint.scaled(k)
	if !ok {
		g.Joint = nil
		return
	}
	g.S.SetPrior(taught)
	g.S.PriorScale = 1 // the rest is in what was taught
	for len(g.Both) < numeric.Workers {
		g.Both = append(g.Both, g.Joint.twin())
	}
	for _, t := range g.Both {
		t.P.S[1].Rested()
		t.P.PriorScale, t.P.NoiseScale = g.Joint.P.PriorScale, g.Joint.P.NoiseScale
		t.at, t.base, t.Mean = g.Joint.at, g.Joint.base, g.Joint.Mean
	}
}

// Together gives all explanations that come near the best, and the sound
// system, the evidence of survey and baseline at once.
func (g *Search) Together() {
	if g.Joint == nil {
		return
	}
	for {
		sortFits(g.All)
		var list []*fit.Fit
		for _, f := range g.All {
			if f.Both == nil && !f.Apart && (f == g.Sound || f.Score() >= g.All[0].Score()-jointWindow) {
				list = append(list, f)
			}
		}
		if len(list) == 0 {
			return
		}
		before, must := make([]float64, len(list)), g.must
		g.must = max(g.must-len(list), 0)
		numeric.ForEach(len(list), func(i int) {
			f := list[i]
			before[i] = f.Evidence - g.Off
			j := g.Both[i%numeric.Workers]
			if f != g.Sound && i >= must && j.P.S[1].Spent() {
				f.Apart = true
				return
			}
			if b := j.fit(f); b.Ok() {
				f.Both, f.Evidence = b, b.Evidence-g.Joint.Of(g.scale)
			}
			f.Apart = f.Both == nil
		})
		g.Shift(list, before)
	}
}

// Shift takes what was not fitted to both to gain by that as much as the best
// did, and what was only screened as much as that it was to be added to: a fit
// that had not settled gains far more than others.
func (g *Search) Shift(list []*fit.Fit, before []float64) {
	best, off := math.Inf(-1), g.Off
	for i, f := range list {
		if f.Both == nil {
			continue
		}
		f.Gain = f.Evidence - before[i]
		if f.Score() > best {
			best, off = f.Score(), f.Gain
		}
	}
	if best < g.Best() {
		off = g.Off
	}
	for _, f := range g.All {
		if f.Both == nil {
			f.Evidence += off - g.Off
		}
	}
	g.Off = off
	for i := range g.Rest {
		x := &g.Rest[i]
		now := g.Gained(x.From)
		x.Score += now - x.Off
		x.Off = now
	}
}

// Gained is what is in a fit's evidence because it was fitted to both, or would be.
func (g *Search) Gained(f *fit.Fit) float64 {
	if f.Both != nil {
		return f.Gain
	}
	return g.Off
}
