package doubt

import (
	"math"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/search"
)

// How likely it is, before anything was read, that what was given is wrong as
// a whole. Common practice, no source.
const (
	AnotherPrior  = 0.01 // that the baseline is of another system, or of this one before it was rebuilt
	DiameterPrior = 0.06 // that one diameter on the page is wrong
)

// StrangeSpreads are factors on the fresh errors of readings that are not to
// be believed.
var StrangeSpreads = []float64{12, 80}

// DataErrors looks for explanations other than faults.
func DataErrors(g *search.Search, survey *Setup) []DataError {
	spreads := StrangeSpreads
	if len(g.S.Observation) == 1 {
		spreads = nil // a wrong row says the same
	}
	out := make([]DataError, 1+len(spreads))
	pool := g.Workers()
	numeric.ForEach(len(out), func(i int) {
		prior, rough := math.Log(UnlistedPrior), unlistedSpread
		evidence := UnlistedEvidence
		if i > 0 {
			prior, rough, out[i].Doubt = math.Log(search.StrangePrior), spreads[i-1], fault.Doubt{Kind: fault.FitNothing}
			evidence = func(s *fit.Study, sound *fit.Fit) float64 { return loosely(s, sound, rough) }
		}
		out[i].Score = prior + evidence(pool[i%numeric.Workers], g.Sound)
		if g.Whole != nil && out[i].Score > g.Best()-wholeWindow {
			out[i].Score = prior + looselyOnAll(g, rough)
		}
	})
	var page *pageState
	if !soundWillDo(g) || allNought(g) { // of the latter the sound system can make anything
		page = Page(g)
	}
	if page != nil {
		out = append(out, OtherGates(g, page)...)
		out = append(out, misreadings(g, page)...)
	}
	return out
}

// wholeWindow is how far below the best, in nats, something is on the readings kept of
// a large survey, where it fits too well, that is held to all of them.
const wholeWindow = 8.0

// looselyOnAll is the same with all readings of a large survey, as what was carried over
// counts. Of errors so wide little is left to fit: it stands on the straight line from
// where the sound system does.
func looselyOnAll(g *search.Search, rough float64) float64 {
	s := g.Whole.S.Twin()
	f := s.Under(unlistedSpread*s.PriorScale, rough*s.NoiseScale).Straight(fit.Hypothesis{}, g.Whole.Sound.At)
	if !f.Ok() {
		return math.Inf(-1)
	}
	return f.Evidence + g.Whole.Shift
}

// soundWillDo says that the sound system fits about as well as anything: then
// nothing but the loosest explanations beside faults is looked for.
func soundWillDo(g *search.Search) bool {
	return len(g.Sound.Rows) == 0 && g.Sound.Score() > g.Best()-1
}

// loosely is the evidence of the sound system with the fresh errors so many
// times the usual.
func loosely(s *fit.Study, sound *fit.Fit, rough float64) float64 {
	f := s.Under(unlistedSpread*s.PriorScale, rough*s.NoiseScale).FitFrom(fit.Hypothesis{}, sound.At, fit.PatienceFar, fit.Settings{Near: sound.Fit})
	if !f.Ok() {
		return math.Inf(-1)
	}
	return f.Evidence
}

// ReadingsAlone is how well a set fits, whatever its faults' prior.
func ReadingsAlone(f *fit.Fit) float64 {
	out := f.Evidence
	for _, w := range f.Rows {
		out += math.Log(w.Prior)
	}
	return out
}
