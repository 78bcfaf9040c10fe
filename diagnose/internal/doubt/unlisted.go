package doubt

import (
	"math"

	"lostair/diagnose/internal/fit"
)

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
