package search

import (
	"math"
	"slices"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/screen"
)

// lessOne lists the best sets without one of their parts: a fault or a wrong
// row that was taken in while a large fault bent the fit may not be needed
// once that fault is there. First comes what is without all the rows that fit after
// all: a row that is far out makes the search set others aside before it finds that
// one, and they would have to be taken back one after the other.
func (g *Search) lessOne() []screen.Idea {
	sortFits(g.All)
	var out []screen.Idea
	for i, f := range g.All {
		if i == g.less() || f.Score() < g.All[0].Score()-BeamWindow {
			break
		}
		parts := [][]int{}
		if back := g.fitAfterAll(f); len(back) > 1 {
			parts = append(parts, back)
		}
		for k := range len(f.Faults) + len(f.Rows) {
			parts = append(parts, []int{k})
		}
		for _, p := range parts {
			x := g.without(f, p)
			if x.Key = screen.KeyOf(x.Hypothesis, g.Vid, g.Wid); !g.Seen[x.Key] {
				g.Seen[x.Key] = true
				out = append(out, x)
			}
		}
	}
	return out
}

// fitAfterAll are the parts of f that are rows set aside, of which nothing is said to be
// wrong, though the other readings put them about where they are written.
func (g *Search) fitAfterAll(f *fit.Fit) []int {
	aside := 0
	for _, w := range f.Rows {
		if w.Drop {
			aside++
		}
	}
	if aside < 2 || g.S.Large() {
		return nil
	}
	inv := screen.InverseDiagonal(g.S, f)
	if inv == nil {
		return nil
	}
	var out []int
	for k, w := range f.Rows {
		if i := w.Observation; w.Drop {
			off := f.Fit.Alpha.AtVec(i) / inv[i]
			v := 1/inv[i] + (g.S.BaseNoise(i)-f.Fit.Noise[i])*g.S.NoiseScale*g.S.NoiseScale
			if off*off < fitsWithin*fitsWithin*v {
				out = append(out, len(f.Faults)+k)
			}
		}
	}
	return out
}

// fitsWithin is how many standard deviations a row may lie from what the others foretell
// and still be said to fit.
const fitsWithin = 2.0

// without is f less some of its parts, in rising order, faults counted first.
func (g *Search) without(f *fit.Fit, parts []int) screen.Idea {
	at := fit.Point{Theta: f.At.Theta, Z: slices.Clone(f.At.Z), Dual: f.At.Dual}
	x := screen.Idea{Hypothesis: fit.Hypothesis{Faults: slices.Clone(f.Faults), Rows: slices.Clone(f.Rows)}, Prior: f.Prior, Score: f.Score()}
	for _, k := range slices.Backward(parts) {
		if n := len(f.Faults); k < n {
			v := f.Faults[k]
			x.Prior -= screen.LogOdds(g.Sites[v.Site].Prior) + math.Log(v.Weight)
			x.Faults, at.Z = slices.Delete(x.Faults, k, k+1), slices.Delete(at.Z, k, k+1)
		} else {
			x.Prior -= math.Log(f.Rows[k-n].Prior)
			x.Rows = slices.Delete(x.Rows, k-n, k-n+1)
		}
	}
	if g.Odds != nil {
		x.Prior = g.Odds(x.Faults)
	}
	x.From = &fit.Fit{At: at}
	return x
}
