package doubt

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/search"
)

const (
	GatesPrior   = 0.03 // probability that the gates stood otherwise than written all through one configuration, or that an open branch is not on the page. Common practice, no source
	gatesLooks   = 3    // configurations that are looked at
	gatesLeast   = 2    // readings in one: a single one is a wrong row
	gatesStrange = 9.0  // square of the standard deviations by which one of its readings must be off
)

// OtherGates is that all that was read in one configuration was read in
// another, and nothing is wrong: gates that stood otherwise than written, or an
// open branch that the page lacks. It is looked at where the sound system fits
// badly, and says nothing of what those readings should have been.
func OtherGates(g *search.Search, page *pageState) []DataError {
	list := StrangeConfigs(g)
	fits, pool := make([]*fit.Fit, len(list)), g.Workers()
	numeric.ForEach(len(list), func(i int) {
		s := pool[i%numeric.Workers]
		fits[i] = s.Afresh(SetAside(g, list[i]), fit.Settings{Floor: barFor(g, GatesPrior), Near: g.Sound.Fit})
	})
	var out []DataError
	for i, f := range fits {
		if !f.Ok() {
			continue
		}
		score := f.Evidence + g.Off + math.Log(GatesPrior/float64(len(g.S.B.Configs)))
		if g.Whole != nil { // it is worth what it gains
			score += g.Whole.Raised
		}
		for _, w := range g.Sound.Rows {
			if g.S.Observation[w.Observation].Cfg != list[i] {
				score += math.Log(w.Prior)
			}
		}
		out = append(out, DataError{Score: score, Doubt: fault.Doubt{Kind: fault.GatesDiffer, Open: g.S.B.Configs[list[i]].Open.String()}})
	}
	return out
}

// barFor is the evidence that an explanation of such a prior must come near, or
// it weighs nothing beside what was found.
func barFor(g *search.Search, prior float64) float64 {
	return g.Best() - math.Log(prior) - fit.Hopeless - g.Off
}

// StrangeConfigs are the configurations whose readings lie furthest off what
// the sound system makes of all others.
func StrangeConfigs(g *search.Search) []int {
	f := g.Sound
	aside := map[int]bool{}
	for _, w := range f.Rows {
		aside[w.Observation] = true
	}
	var inv mat.SymDense
	if !numeric.Solved(f.Fit.Chol.InverseTo(&inv)) {
		return nil
	}
	off := make([]float64, len(g.S.By))
	var out []int
	for c, list := range g.S.By {
		var most float64
		for _, i := range list {
			z2 := f.Fit.Alpha.AtVec(i) * f.Fit.Alpha.AtVec(i) / inv.At(i, i)
			if aside[i] {
				z2 = gatesStrange
			}
			off[c], most = off[c]+z2, max(most, z2)
		}
		if len(list) >= gatesLeast && most >= gatesStrange {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(off[b], off[a]) })
	return out[:min(len(out), gatesLooks)]
}

// SetAside is the sound system with all readings of a configuration set aside,
// and the rows that were so before.
func SetAside(g *search.Search, cfg int) fit.Hypothesis {
	var h fit.Hypothesis
	for _, w := range g.Sound.Rows {
		if g.S.Observation[w.Observation].Cfg != cfg {
			h.Rows = append(h.Rows, w)
		}
	}
	for _, i := range g.S.By[cfg] {
		h.Rows = append(h.Rows, search.Dropped(g.S, i))
	}
	return h
}
