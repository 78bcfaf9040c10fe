package story

import (
	"cmp"
	"slices"

	"lostair/diagnose/fault"
)

// SameEpisode is the share of an episode's chance at places of a stronger one from
// which the two are one, if they are of one sort and may have begun together: the
// model is not exact, and what it leaves of a leak looks like a second one beside
// it. Own choice.
const SameEpisode = 0.25

// Remains is the share of what an episode explains, in nats, up to which another that
// may have begun with it is what the model's error leaves of it. Own choice, checked
// on stories made by another model: a gate a third open left leaks of 1 to 7 % in a
// main and at the bin.
const Remains = 0.1

// merge drops episodes that are another one over again or, if left is set, what the
// model leaves of it.
func (x *story) merge(left bool) {
	var kept []*strand
	for _, e := range slices.SortedStableFunc(slices.Values(x.found), func(a, b *strand) int { return cmp.Compare(b.weight, a.weight) }) {
		again := false
		for _, k := range kept {
			again = again || x.same(k, e, left)
		}
		if !again {
			kept = append(kept, e)
		}
	}
	x.found = kept
}

// same is whether a weaker episode is a stronger one over again.
func (x *story) same(strong, weak *strand, left bool) bool {
	a, _ := momentsOf(strong.paths, len(x.all))
	b, _ := momentsOf(weak.paths, len(x.all))
	if a.High < b.Low || b.High < a.Low {
		return false
	}
	if left && weak.weight < Remains*strong.weight {
		return true
	}
	if !fault.OneSort(x.sites[strong.site].Kind, x.sites[weak.site].Kind) {
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
