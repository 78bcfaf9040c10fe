// Package branch keeps the derivatives of a plant's readings by its branches.
//
// A plant is cut into branches: parts of the tree of ducts, each of which hangs
// on the rest by one join. All that a parameter of a branch does to readings
// elsewhere goes through that join, so that with given gates its derivatives
// there are the same for all readings apart from a factor. A row of derivatives is
// kept as what is of its own branch or of the whole plant, and a factor for each
// other branch. So what 1,724 readings share takes a tenth of the time and of the
// room that rows of 5,218 parameters took.
package branch

import (
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/observe"
)

// Branches say which branch everything is of; -1: of none.
type Branches struct {
	n       int
	duct    []int32   // of each duct
	param   []int32   // of each parameter
	Reading []int32   // of each observation
	params  [][]int32 // of each branch
	whole   []int32   // parameters of none

	own  [][]asbuilt.Pull // of each branch, and last of none: what acts there, by parameter
	away [][]asbuilt.Pull // of each branch: the same, by place in a row as another branch sees it
	also [][]also         // of each branch: the parameters of none that act in it
	seen int              // places in such a row
}

// also is a parameter of no branch that acts in one, and where in a row as another
// branch sees it stands what it does there.
type also struct{ param, place int32 }

// How many ducts a branch may have at most, and what share of all. They cost time
// and change no result: few large branches leave few ducts between them.
const (
	branchMost  = 100
	branchShare = 0.4
)

// Cut cuts a plant with n parameters up, and says which branch each observation is in.
func Cut(m *airflow.Model, u *asbuilt.Unknowns, n int, read []observe.Observation) *Branches {
	b := &Branches{duct: ductsOf(m.Sys), param: slices.Repeat([]int32{notYet}, n), Reading: make([]int32, len(read))}
	for _, d := range b.duct {
		b.n = max(b.n, int(d)+1)
	}
	for i := range u.Parts {
		at := b.ofPart(m.Sys, &u.Parts[i])
		for _, x := range u.Parts[i].Ix {
			b.met(int(x), at)
		}
	}
	for i := range read {
		o := &read[i]
		b.Reading[i] = b.Of(m.DuctOf(o.Probe))
		b.met(o.TapIx, b.Reading[i])
		b.met(o.AxisIx, b.Reading[i])
		b.met(o.GainIx, -1)
	}
	b.params = make([][]int32, b.n)
	for x, at := range b.param {
		if at < 0 {
			b.param[x] = -1
			b.whole = append(b.whole, int32(x))
		} else {
			b.params[at] = append(b.params[at], int32(x))
		}
	}
	b.pulls(m.Sys, u)
	return b
}

// ofPart is the branch in which alone a part acts; -1: there is none.
func (b *Branches) ofPart(sys *duct.System, p *asbuilt.PartUnknown) int32 {
	at := b.Of(int(p.Duct))
	if at >= 0 && bothLegs(p.What) && joins(sys, int(p.Duct), b.duct) {
		return -1
	}
	return at
}

// pulls sorts what acts on readings by branch.
func (b *Branches) pulls(sys *duct.System, u *asbuilt.Unknowns) {
	b.own, b.away, b.also = make([][]asbuilt.Pull, b.n+1), make([][]asbuilt.Pull, b.n), make([][]also, b.n)
	place := make([]map[int32]int32, b.n)
	b.seen = len(b.param)
	for _, p := range u.Pulls {
		at := b.ofPart(sys, &u.Parts[p.Part])
		if at < 0 {
			b.own[b.n] = append(b.own[b.n], p)
			continue
		}
		b.own[at] = append(b.own[at], p)
		for k, x := range p.Ix {
			if x < 0 || b.param[x] >= 0 {
				continue
			}
			if place[at] == nil {
				place[at] = map[int32]int32{}
			}
			if _, ok := place[at][x]; !ok {
				place[at][x] = int32(b.seen)
				b.also[at] = append(b.also[at], also{x, place[at][x]})
				b.seen++
			}
			p.Ix[k] = place[at][x]
		}
		b.away[at] = append(b.away[at], p)
	}
}

// notYet is the branch of a parameter that nothing has met yet.
const notYet = -2

// met says that a parameter acts in a branch; what acts in two is of none.
func (b *Branches) met(x int, at int32) {
	switch {
	case x < 0:
	case b.param[x] == notYet:
		b.param[x] = at
	case b.param[x] != at:
		b.param[x] = -1
	}
}

// Of is the branch of a duct; -1 is that of the collector.
func (b *Branches) Of(d int) int32 {
	if d < 0 {
		return -1
	}
	return b.duct[d]
}

// bothLegs says that a part of the duct by which a branch hangs on the rest also
// acts on the leg that it joins: its momentum, and what leaks in at the join.
func bothLegs(w airflow.What) bool { return w == airflow.Exchange || w == airflow.Seepage }

// Within is the branch of a duct; -1 for the one by which a branch hangs on the rest,
// where what a fault does is not all of the branch.
func (b *Branches) Within(sys *duct.System, d int) int32 {
	if d < 0 || joins(sys, d, b.duct) {
		return -1
	}
	return b.duct[d]
}

// joins says whether a duct is the one by which its branch hangs on the rest.
func joins(sys *duct.System, d int, of []int32) bool {
	into := sys.Ducts[d].Into
	return into < 0 || of[into] != of[d]
}

// ductsOf are the largest branches that have no more ducts than that, by duct.
func ductsOf(sys *duct.System) []int32 {
	ducts := sys.Ducts
	size, out := make([]int, len(ducts)), make([]int32, len(ducts))
	for i := range ducts {
		for d := i; d >= 0; d = ducts[d].Into {
			size[d]++
		}
	}
	most, n := min(branchMost, branchShare*float64(len(ducts))), int32(0)
	top := map[int]int32{}
	for i := range ducts {
		out[i] = -1
		last := -1
		for d := i; d >= 0 && float64(size[d]) <= most; d = ducts[d].Into {
			last = d
		}
		if last < 0 {
			continue
		}
		at, ok := top[last]
		if !ok {
			at = n
			top[last] = at
			n++
		}
		out[i] = at
	}
	return out
}
