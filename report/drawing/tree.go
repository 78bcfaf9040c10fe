package drawing

import (
	"slices"

	"lostair/diagnose/duct"
)

// tree is what the layout needs to know of a system.
type tree struct {
	s     *duct.System
	ports []int   // by duct: ports at or above it
	legs  [][]int // by duct: what flows into it, smallest first, the one that keeps the lane last
	roots []int   // what flows into the collector, in the same order
	lane  []int
	lanes int

	straight bool // the leg that enters straight keeps the lane
}

// usualLanes is how many lanes a page has room for without squeezing them.
const usualLanes = 6

// newTree lets the leg that enters straight keep its lane, as a main does,
// where that needs few lanes; else the leg with the most ports.
func newTree(s *duct.System) *tree {
	t := layTree(s, true)
	if t.lanes > usualLanes {
		t = layTree(s, false)
	}
	return t
}

func layTree(s *duct.System, straight bool) *tree {
	t := &tree{straight: straight, s: s, ports: make([]int, len(s.Ducts)), legs: make([][]int, len(s.Ducts)), lane: make([]int, len(s.Ducts)), lanes: 1}
	for i := len(s.Order) - 1; i >= 0; i-- {
		d := s.Order[i]
		if len(s.Ducts[d].Children) == 0 {
			t.ports[d] = 1
		}
		if into := s.Ducts[d].Into; into >= 0 {
			t.ports[into] += t.ports[d]
		} else {
			t.roots = append(t.roots, d)
		}
	}
	slices.Sort(t.roots)
	t.sort(t.roots)
	for d := range s.Ducts {
		t.legs[d] = slices.Clone(s.Ducts[d].Children)
		t.sort(t.legs[d])
	}
	for i, d := range t.roots {
		t.setLane(d, 0, i == len(t.roots)-1)
	}
	for _, d := range s.Order {
		for i, c := range t.legs[d] {
			t.setLane(c, t.lane[d], i == len(t.legs[d])-1)
		}
	}
	return t
}

// setLane: a leg that turns off takes the next lane, apart from one that goes
// straight to its port, which needs none.
func (t *tree) setLane(d, from int, keeps bool) {
	t.lane[d] = from
	if !keeps && !t.leaf(d) {
		t.lane[d]++
	}
	t.lanes = max(t.lanes, t.lane[d]+1)
}

// leaf says whether a duct goes to a port without a join on the way.
func (t *tree) leaf(d int) bool { return t.ports[d] == 1 }

// sort puts legs in the order of their rows.
func (t *tree) sort(legs []int) {
	slices.SortStableFunc(legs, func(a, b int) int {
		if n := rank(t.s.Ducts[a].Straight) - rank(t.s.Ducts[b].Straight); n != 0 && t.straight {
			return n
		}
		if n := t.ports[a] - t.ports[b]; n != 0 {
			return n
		}
		return rank(t.s.Ducts[a].Straight) - rank(t.s.Ducts[b].Straight)
	})
}

func rank(straight bool) int {
	if straight {
		return 1
	}
	return 0
}

// chain lists a leaf duct and those that flow through it, collector first.
func (t *tree) chain(d int) []int {
	out := []int{d}
	for len(t.s.Ducts[d].Children) == 1 {
		d = t.s.Ducts[d].Children[0]
		out = append(out, d)
	}
	return out
}
