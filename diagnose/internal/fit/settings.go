package fit

import "math"

// Settings are how far a fit is to go. The zero ones ask for all there is.
type Settings struct {
	Floor  float64 // evidence that the fit must come near, or it is given up; 0: none
	Enough float64 // nats that a further step may promise to a fit that has settled; 0: hardly any
	Near   *Detail // a linearisation to take over from what has not changed; nil: the study's first
	exact  bool    // no derivatives are taken over that have changed at all
}

const (
	fitSteps     = 25
	fewSteps     = 9   // of a thinned survey
	swinging     = 0.7 // of the step before: after a longer one the steps of a thinned survey are shortened
	patience     = 1   // steps of a fit before it may be given up
	PatienceFar  = 3   // the same from the prior mean, which may lie far off
	stillToCome  = 4.0 // times what a step gained, that those to come may gain
	Hopeless     = 20. // nats below the best at which a fit is given up: what is left of it weighs nothing
	smallStep    = 0.3 // in standard deviations of a parameter
	settledStep  = 0.03
	settledGain  = 0.005 // nats that a further step may promise to a fit that has settled
	roughGain    = 0.2   // the same of one that
	hardlyCounts = 4.0   // lies so many nats below the best
	mostOwed     = 2.0   // nats that may still be promised where steps gain nothing
	roughly      = 25.   // nats that the evidence may be off while S is not worked out
)

// those are the settings given, of which there may be none.
func those(how []Settings) Settings {
	if len(how) == 0 {
		return Settings{}
	}
	return how[0]
}

func (x Settings) floor() float64 {
	if x.Floor == 0 {
		return math.Inf(-1)
	}
	return x.Floor
}

// Under is the study under other factors on spreads and fresh errors. It works with the
// same solver states, so not at the same time.
func (s *Study) Under(spread, fresh float64) *Study {
	t := *s
	t.PriorScale, t.NoiseScale = spread, fresh
	return &t
}
