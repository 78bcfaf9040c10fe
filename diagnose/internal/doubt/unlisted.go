package doubt

import (
	"math"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
)

// DataError is an explanation that is no fault of the system: what was given is
// not what it says. Its share of the posterior counts as unlisted.
type DataError struct {
	Score float64     // log of evidence times prior
	Doubt fault.Doubt // what to look at; NoDoubt: nothing in particular
	Soon  bool        // a look or a second reading settles it
	Fits  float64     // of what is soon checked: log of evidence alone
}

// Total is the log of what all explanations together weigh.
func Total(list []DataError) float64 {
	scores := make([]float64, len(list))
	for i, x := range list {
		scores[i] = x.Score
	}
	return numeric.LogSumExp(scores)
}

// unlistedSpread is how many times the usual spread and errors are allowed to
// something that is not on the list. Common practice, no source.
const unlistedSpread = 3.0

// UnlistedEvidence is the evidence of something that is not on the list: the
// sound system, with as-built spread and fresh errors several times the usual.
func UnlistedEvidence(s *fit.Study, sound *fit.Fit) float64 {
	f := s.Under(unlistedSpread*s.PriorScale, unlistedSpread*s.NoiseScale).Fit(fit.Hypothesis{}, sound.At, fit.Settings{Near: sound.Fit})
	if !f.Ok() {
		return math.Inf(-1)
	}
	return f.Evidence
}

// UnlistedPrior is the prior probability of something that is not on the list.
const UnlistedPrior = 0.02
