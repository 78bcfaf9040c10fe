package diagnose

import "math"

const (
	polishWindow = 10.0 // nats below the best within which an explanation is fitted exactly
	polishMost   = 32   // and how many are
	stuckBy      = 1.0  // nats that a fit was promised and did not reach
)

// polish fits the leading explanations of a thinned survey exactly, and the
// sound system. Along the search derivatives are taken over where a reading has
// changed little and steps are few, which is fast, but such fits stop up to
// fifteen nats short of what they would reach, some of them more than others.
func (g *search) polish() {
	if g.s.lost == nil {
		return
	}
	sortFits(g.all)
	list := []*fitted{g.sound}
	for _, f := range g.all {
		if f.score() < g.best()-polishWindow || len(list) > polishMost {
			break
		}
		if f != g.sound {
			list = append(list, f)
		}
	}
	gain := make([]float64, len(list))
	pool := g.workers()
	inPairs(len(list), func(i int) {
		gain[i] = pool[i%workers].polished(list[i])
	})
	for i, f := range list {
		for k := range g.rest {
			if g.rest[k].from == f { // what was to be added to it starts from there
				g.rest[k].score += gain[i]
			}
		}
	}
	sortFits(g.all)
}

// polished fits an explanation on from where it stands, every derivative worked
// out anew, and returns what its evidence gained by that.
func (s *study) polished(f *fitted) float64 { return s.refitted(f, f.at) }

// unstick does so with what stopped far short of what was promised and would
// come near the best with it, and fits it from the prior mean if that is no help.
func (s *study) unstick(f *fitted) {
	stuck := func() bool {
		return f.fit.left > stuckBy && f.evidence+f.fit.left > s.bar+hopeless-polishWindow
	}
	if stuck() {
		s.polished(f)
	}
	if stuck() {
		was := *f
		if s.refitted(f, s.before()) < 0 {
			*f = was
		}
	}
}

// refitted fits an explanation exactly from a point, takes what comes of it, and
// returns what its evidence gained.
func (s *study) refitted(f *fitted, from point) float64 {
	bar, ref := s.bar, s.ref
	s.bar, s.ref, s.exact = math.Inf(-1), nil, true
	x := s.fitFrom(f.hypothesis, from, patienceFar)
	s.bar, s.ref, s.exact = bar, ref, false
	if !x.ok {
		return 0
	}
	was := f.evidence
	f.at, f.fit, f.evidence, f.settled = x.at, x.fit, x.evidence, x.settled
	return f.evidence - was
}
