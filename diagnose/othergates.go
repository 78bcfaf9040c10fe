package diagnose

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

const (
	gatesPrior   = 0.03 // probability that the gates stood otherwise than written all through one configuration, or that an open branch is not on the page. Common practice, no source
	gatesLooks   = 3    // configurations that are looked at
	gatesLeast   = 2    // readings in one: a single one is a wrong row
	gatesStrange = 9.0  // square of the standard deviations by which one of its readings must be off
)

// otherGates is that all that was read in one configuration was read in
// another, and nothing is wrong: gates that stood otherwise than written, or an
// open branch that the page lacks. It is looked at where the sound system fits
// badly, and says nothing of what those readings should have been.
func (g *search) otherGates(page *pageState) []misgiven {
	list := g.strangeConfigs()
	fits, pool := make([]*fitted, len(list)), g.workers()
	inPairs(len(list), func(i int) {
		s := pool[i%workers]
		s.bar, s.ref = g.barFor(gatesPrior), g.sound.fit
		fits[i] = s.afresh(g.setAside(list[i]))
	})
	out := g.regated(list, page)
	for i, f := range fits {
		if !f.ok {
			continue
		}
		score := f.evidence + g.off + math.Log(gatesPrior/float64(len(g.s.b.configs)))
		for _, w := range g.sound.rows {
			if g.s.obs[w.obs].cfg != list[i] {
				score += math.Log(w.prior)
			}
		}
		out = append(out, misgiven{score: score, doubt: "What was read with " + openWords(g.s.b.configs[list[i]].open) + " does not go with the rest: check which gates stood open then, " +
			"and whether a branch joins that the system file lacks."})
	}
	return out
}

// barFor is the evidence that an explanation of such a prior must come near, or
// it weighs nothing beside what was found.
func (g *search) barFor(prior float64) float64 {
	return g.best() - math.Log(prior) - hopeless - g.off
}

// strangeConfigs are the configurations whose readings lie furthest off what
// the sound system makes of all others.
func (g *search) strangeConfigs() []int {
	f := g.sound
	aside := map[int]bool{}
	for _, w := range f.rows {
		aside[w.obs] = true
	}
	var inv mat.SymDense
	if !solved(f.fit.chol.InverseTo(&inv)) {
		return nil
	}
	off := make([]float64, len(g.s.by))
	var out []int
	for c, list := range g.s.by {
		var most float64
		for _, i := range list {
			z2 := f.fit.alpha.AtVec(i) * f.fit.alpha.AtVec(i) / inv.At(i, i)
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

// setAside is the sound system with all readings of a configuration set aside,
// and the rows that were so before.
func (g *search) setAside(cfg int) hypothesis {
	var h hypothesis
	for _, w := range g.sound.rows {
		if g.s.obs[w.obs].cfg != cfg {
			h.rows = append(h.rows, w)
		}
	}
	for _, i := range g.s.by[cfg] {
		h.rows = append(h.rows, g.s.dropped(i))
	}
	return h
}
