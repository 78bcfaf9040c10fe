package search

import (
	"math"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
)

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
