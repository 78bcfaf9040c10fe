package search

import "lostair/diagnose/internal/screen"

// Bounds of the search. They cost time and change no probability by more than
// the weight of what they leave out.
const (
	BeamWidth    = 4   // hypotheses grown from at each level
	beamScouting = 2   // the same of a search for the factors
	BeamWindow   = 3.5 // nats below the best that one may lie and still be grown from
	MaxFaults    = 4
	maxParts     = 7   // faults and wrong rows together
	FitsALevel   = 24  // hypotheses fitted exactly at each level
	fitsThinned  = 10  // the same of a thinned survey
	fitsScouting = 6   // the same of a search for the factors
	Window       = 5.0 // nats below the best that an idea may promise and still be fitted
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
	windowLarge = 3.5 // nats below the best that an idea may promise and still be fitted: what many readings promise, they keep to within a nat or two
)

// fits is how many hypotheses are fitted exactly at each level.
func (g *Search) fits() int {
	switch {
	case g.Scouting:
		return fitsScouting
	case g.scouted:
		return FitsALevel - fitsScouting
	case g.S.Large():
		return fitsLarge
	case g.S.Lost != nil:
		return fitsThinned
	}
	return FitsALevel
}

// window is how far below the best an idea may promise and still be fitted. What acts
// at the collector moves every reading, and promises too little: a fan 12 % slow
// promised 4 nats less than nothing, and was worth 2.
func (g *Search) window(x screen.Idea) float64 {
	if n := len(x.Faults); g.S.Lost == nil || n > 0 && g.Sites[x.Faults[n-1].Site].Duct < 0 {
		return Window
	}
	return windowLarge
}

// causeWindow is how far below the best, in nats, what stands in place of rows set aside
// may promise.
const causeWindow = 12.0

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

// lessMost is how many of the best sets are looked at for what they don't need:
// neighbours that are alike beside a wrong row are not without it.
const lessMost = 3 * BeamWidth

func (g *Search) less() int {
	if g.S.Large() {
		return lessLarge
	}
	return lessMost
}

// exchangeRounds is how often faults are put in place of others.
const exchangeRounds = 3

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
