package fit

import "math"

// Settings are how far a fit is to go. The zero ones ask for all there is.
type Settings struct {
	Floor  float64 // evidence that the fit must come near, or it is given up; 0: none
	Enough float64 // nats that a further step may promise to a fit that has settled; 0: hardly any
	Near   *Detail // a linearisation to take over from what has not changed; nil: the study's first
	exact  bool    // no derivatives are taken over that have changed at all
}

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
