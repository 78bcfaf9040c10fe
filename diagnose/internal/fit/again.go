package fit

// PoorFit is the misfit per observation above which a second start is tried.
const PoorFit = 2.5

// ending is how a fit ended.
type ending struct {
	ok, settled bool
	evidence    float64
	misfit      float64 // per observation
}

func (s *Study) ending(f *Fit) ending {
	e := ending{ok: f.Ok(), settled: f.Settled(), evidence: f.Evidence}
	if f.Ok() {
		e.misfit = f.Fit.Quad / float64(len(s.Observation))
	}
	return e
}

// stands says that no other start need be tried.
func (e ending) stands() bool { return e.ok && e.settled && e.misfit < PoorFit }

// outdoneBy says that a fit from another start stands in place of this one: it came to
// an end where this did not, or to a more probable one.
func (e ending) outdoneBy(again ending) bool {
	switch {
	case !again.ok || !e.ok:
		return again.ok
	case again.settled != e.settled:
		return again.settled
	}
	return again.evidence > e.evidence
}
