package search

import (
	"math"
	"slices"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/screen"
)

// FitBest fits the ideas that promise most.
func (g *Search) FitBest(ideas []screen.Idea) []*fit.Fit {
	if len(ideas) == 0 {
		return nil
	}
	// The screen is linear: the more an idea promises, the less exactly.
	top := ideas[0]
	slack := 0.2 * max(0, top.Score-top.From.Score())
	bar := max(g.Best(), top.Score) - slack
	var fit []screen.Idea
	for _, x := range ideas {
		if len(fit) >= g.fits() || x.Score < bar-g.window(x) {
			x.Off = g.Gained(x.From)
			g.Rest = append(g.Rest, x)
			continue
		}
		fit = append(fit, x)
	}
	return g.tryAll(fit)
}

// tryAll fits ideas, and gives up on the way what will lie far below the best:
// the first few show how well the readings can be fitted.
func (g *Search) tryAll(ideas []screen.Idea) []*fit.Fit {
	best := math.Inf(-1)
	if len(g.All) > 0 {
		best = g.Best()
	}
	few := min(len(ideas), 2*numeric.Workers)
	out := g.try(ideas[:few], best)
	for _, f := range out {
		best = max(best, f.Score())
	}
	return append(out, g.try(ideas[few:], best)...)
}

// try fits ideas with two workers, each its own share, so that the same
// ideas give the same bytes whatever the machine does meanwhile.
func (g *Search) try(ideas []screen.Idea, best float64) []*fit.Fit {
	fits := make([]*fit.Fit, len(ideas))
	for _, x := range ideas {
		g.Seen[x.Key] = true
	}
	pool := g.Workers()
	numeric.OnEachWorker(func(w int) {
		s := pool[w]
		var heavy []*fit.Fit
		for i := w; i < len(ideas); i += numeric.Workers {
			if s.Spent() {
				break
			}
			how := fit.Settings{Floor: best - ideas[i].Prior - fit.Hopeless - g.Off, Near: ideas[i].From.Fit}
			if how.Near == nil || s.Large() && ideas[i].From.IsLight() {
				how.Near = g.Sound.Fit
			}
			start := ideas[i].From.At
			if ideas[i].Start != nil {
				start = *ideas[i].Start
			}
			if len(start.Z) < len(ideas[i].Faults) {
				start.Z = append(slices.Clone(start.Z), ideas[i].Z)
			}
			f := s.Fit(ideas[i].Hypothesis, start, how)
			f.Prior, f.Key, f.Swap = ideas[i].Prior, ideas[i].Key, ideas[i].Swap
			f.Evidence += g.Off
			if fits[i] = f; s.Large() {
				heavy = lightenWorst(heavy, f)
			}
		}
	})
	var out []*fit.Fit
	for i, f := range fits {
		switch {
		case f == nil: // not begun: a further allowance may reach it
			delete(g.Seen, ideas[i].Key)
		case f.Ok():
			out = append(out, f)
		}
	}
	return out
}

// heavyEach is how many of the fits that a worker makes at a time keep what is
// large of them.
const heavyEach = 2

// lightenWorst drops what is large of all but the best of a worker's fits.
func lightenWorst(heavy []*fit.Fit, f *fit.Fit) []*fit.Fit {
	heavy = append(heavy, f)
	sortFits(heavy)
	if len(heavy) > heavyEach {
		heavy[heavyEach].Light()
		heavy = heavy[:heavyEach]
	}
	return heavy
}

// add takes fits among all, and drops what is large of those that nothing will grow from.
func (g *Search) add(fits []*fit.Fit) {
	g.All = append(g.All, fits...)
	if !g.S.Large() {
		return
	}
	sortFits(g.All)
	n := 0
	for i, f := range g.All {
		if f == g.Sound || i == 0 {
			continue
		}
		if n++; f.Grown || n > widthLarge {
			f.Light()
		}
	}
}
