package track

import "lostair/diagnose/fault"

// SameEpisode is the share of an episode's chance at places of a stronger one from
// which the two are one, if they are of one sort and may have begun together: the
// model is not exact, and what it leaves of a leak looks like a second one beside
// it. Own choice.
const SameEpisode = 0.25

// merge drops episodes that are another one over again.
func (x *story) merge() {
	var kept []*strand
	for _, e := range x.found {
		again := false
		for _, k := range kept {
			again = again || x.same(k, e)
		}
		if !again {
			kept = append(kept, e)
		}
	}
	x.found = kept
}

// same is whether a weaker episode is a stronger one over again.
func (x *story) same(strong, weak *strand) bool {
	if !fault.OneSort(x.sites[strong.site].Kind, x.sites[weak.site].Kind) {
		return false
	}
	a, _ := momentsOf(strong.paths, len(x.all))
	b, _ := momentsOf(weak.paths, len(x.all))
	if a.High < b.Low || b.High < a.Low {
		return false
	}
	there := map[int]bool{strong.site: true}
	for _, l := range strong.like {
		there[l.site] = true
	}
	shared := 0.0
	for _, l := range weak.like {
		if there[l.site] {
			shared += l.share
		}
	}
	return shared >= SameEpisode
}
