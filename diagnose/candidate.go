package diagnose

import (
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/weigh"
)

// Candidate is a place of a search with the chance that its fault is there.
func Candidate(p *weigh.Posterior, i int) fault.Candidate {
	s := p.G.Sites[i]
	return fault.Candidate{Kind: s.Kind, Where: s.Where, Probability: numeric.ClampProbability(p.Site[i])}
}
