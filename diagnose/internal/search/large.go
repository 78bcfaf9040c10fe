package search

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
)

// Bounds of the search of a large survey. Its many readings leave few
// explanations near the best, and each takes long to fit.
//
// Two ways of making it cheaper went wrong. Searched with 240 readings of 1,724, what
// told of a blocked hose was gone, and a huge hole at the bin explained the rest. And
// fits stopped up to 180 nats short whose steps were halved, and whose derivatives were
// taken over from readings that had changed by up to 1 %. With all readings, and fits
// that settle, a plant's own hundreds of parts show what its laws are off by.
const (
	fitsLarge   = 6   // hypotheses fitted at each level
	widthLarge  = 2   // grown from at each level
	lessLarge   = 2   // looked at for what they don't need
	roundsLarge = 1   // in which faults are put in place of others
	outByItself = 1.5 // errors by which a reading is out for its row to be looked at
	windowLarge = 3.5 // nats below the best that an idea may promise and still be fitted: what many readings promise, they keep to within a nat or two
)

// window is how far below the best an idea may promise and still be fitted. What acts
// at the collector moves every reading, and promises too little: a fan 12 % slow
// promised 4 nats less than nothing, and was worth 2.
func (g *Search) window(x Idea) float64 {
	if n := len(x.Faults); g.S.Lost == nil || n > 0 && g.Sites[x.Faults[n-1].Site].Duct < 0 {
		return Window
	}
	return windowLarge
}

// causeWindow is the same of what may stand in place of rows set aside.
func (g *Search) causeWindow() float64 {
	if g.S.Lost != nil {
		return windowLarge
	}
	return causeWindow
}

func (g *Search) width() int {
	if g.S.Large() {
		return widthLarge
	}
	return BeamWidth
}

func (g *Search) less() int {
	if g.S.Large() {
		return lessLarge
	}
	return lessMost
}

func (g *Search) rounds() int {
	if g.S.Large() {
		return roundsLarge
	}
	return exchangeRounds
}

// swaps is how many explanations are tried in a round of exchange.
func (g *Search) swaps() int {
	if g.S.Large() {
		return fitsLarge
	}
	return 2 * g.fits()
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

// inverseDiagonal is the diagonal of S⁻¹; nil if there is none. Of a large survey
// it is worked out where a reading is out by itself, and NaN elsewhere: no row
// there is wrong.
func inverseDiagonal(s *fit.Study, f *fit.Fit) []float64 {
	m := len(s.Observation)
	out := make([]float64, m)
	if !s.Large() {
		var inv mat.SymDense
		if !numeric.Solved(f.Fit.Chol.InverseTo(&inv)) {
			return nil
		}
		for i := range out {
			out[i] = inv.At(i, i)
		}
		return out
	}
	numeric.ForEach(m, func(i int) {
		out[i] = math.NaN()
		if math.Abs(f.Fit.Alpha.AtVec(i))*math.Sqrt(f.Fit.Noise[i])*s.NoiseScale > outByItself {
			e := mat.NewVecDense(m, nil)
			e.SetVec(i, 1)
			out[i] = numeric.SolveDot(&f.Fit.Chol, e)
		}
	})
	return out
}

// widestLarge is widest for a large survey: the fresh errors first, then the spread.
func (g *Search) widestLarge(from Scale) Scale {
	look := []*fit.Fit{g.Sound}
	sortFits(g.All)
	if g.All[0] != g.Sound {
		look = append(look, g.All[0])
	}
	pick := func(now Scale, which func(Scale) bool) Scale {
		list := slices.DeleteFunc(Scales(), func(k Scale) bool {
			return !which(k) || k.Spread < from.Spread || k.Fresh < from.Fresh
		})
		best, top := now, math.Inf(-1)
		for i, v := range g.under(list, look) {
			if v > top {
				best, top = list[i], v
			}
		}
		return best
	}
	now := pick(from, func(k Scale) bool { return k.Spread == from.Spread })
	return pick(now, func(k Scale) bool { return k.Fresh == now.Fresh })
}

// scaleOfSound is the scale that the sound system asks for, so that a large survey
// need not be searched first under factors that don't hold.
func (g *Search) scaleOfSound(from Scale) Scale {
	g.Scaled(from)
	start := g.S.Before()
	if g.start != nil {
		start = *g.start
	}
	f := g.S.Fit(fit.Hypothesis{}, start)
	if !f.Ok() {
		return from
	}
	at := f.At.Clone()
	g.Sound, g.All, g.start = f, []*fit.Fit{f}, &at
	k := g.widestLarge(from)
	g.Sound, g.All = nil, nil
	return k
}

// tells keeps how far faults would stand out of the sound system.
func (g *Search) tells(first []Idea) {
	g.Tells = make([]float64, len(g.Vid))
	for i := range first {
		x := &first[i]
		g.Tells[g.Vid[x.Faults[len(x.Faults)-1]]] = max(1/(x.Times.Sd*x.Times.Sd)-1/Tau2, 0)
	}
}
