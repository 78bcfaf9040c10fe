package search

import (
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/screen"
)

// promising are the ducts in which a fault would make the readings likelier, the most
// so first, by all of more readings than are searched with.
func promising(s *fit.Study, ss []*fault.Site, near *fit.Point) []int {
	if near == nil {
		return nil
	}
	f := s.Linearised(fit.Hypothesis{}, *near)
	if !f.Ok() {
		return nil
	}
	first, _ := FirstLook(s, f, ss)
	var out []int
	for _, k := range screen.ByScore(first) {
		x := &first[k]
		if d := ss[x.Faults[0].Site].Duct; d >= 0 && x.Score-x.Prior-f.Evidence > promisingGain && !slices.Contains(out, d) {
			out = append(out, d)
		}
	}
	return out
}

// promisingGain is by how many nats a fault must make them likelier: three standard
// deviations of its size, which few of thousands are by chance.
const promisingGain = 4.5

// thinnedTo are so many readings of a large survey: those next to some ducts, the first
// of these first, up to half of all, and others evenly.
func thinnedTo(s *fit.Study, ducts []int, n int) []int {
	kept, left := make([]bool, len(s.Observation)), n/2
	for _, d := range ducts {
		next := slices.DeleteFunc(readNear(s, d), func(i int) bool { return kept[i] })
		if len(next) > left { // hundreds of others may flow into it
			continue
		}
		left -= len(next)
		for _, i := range next {
			kept[i] = true
		}
	}
	var others, out []int
	for i, k := range kept {
		if !k {
			others = append(others, i)
		}
	}
	for _, x := range numeric.Evenly(len(others), n-(len(kept)-len(others))) {
		kept[others[x]] = true
	}
	for i, k := range kept {
		if k {
			out = append(out, i)
		}
	}
	return out
}

// readNear are the observations in a duct, in the two that it flows through next, and in
// those that flow through it or through the next.
func readNear(s *fit.Study, d int) []int {
	if d < 0 {
		return nil // what is read at the collector bears on everything
	}
	ducts := s.M.Sys.Ducts
	near := map[int]bool{d: true}
	if to := ducts[d].Into; to >= 0 {
		near[to] = true
		if on := ducts[to].Into; on >= 0 {
			near[on] = true
		}
		for _, c := range ducts[to].Children {
			near[c] = true
		}
	}
	for _, c := range ducts[d].Children {
		near[c] = true
	}
	var out []int
	for i := range s.Observation {
		if near[s.DuctOf(i)] {
			out = append(out, i)
		}
	}
	return out
}
