package search

import (
	"math"
	"slices"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/screen"
)

const (
	causeLooks  = 12 // additions that are looked at in place of what was set aside
	causeFits   = 3  // of them that are fitted
	causeGroups = 8  // rows or settings of one set that are looked at
)

// forRows lists, for the leading sets, single faults in place of the rows that
// they call wrong: one row, or those of one gate setting together. Where a
// restriction leaves a port little air, the row that says so is what fits worst,
// and calling it wrong is what the search meets first; what would explain it
// stands too low then to be fitted, since the other readings of that port have
// been bent to the row's absence.
func (g *Search) forRows() []screen.Idea {
	sortFits(g.All)
	var out []screen.Idea
	for i, f := range g.All {
		if i == g.less() || f.Score() < g.All[0].Score()-BeamWindow {
			break
		}
		if f.Asked || len(f.Rows) == 0 || len(f.Faults) >= MaxFaults {
			continue
		}
		f.Asked = true
		for _, aside := range rowGroups(g.S, f) {
			out = append(out, g.causesOf(f, aside)...)
		}
	}
	return screen.BestFirst(out)
}

// rowGroups are the rows of a set that one cause may explain, by their places
// in it: each row, and those of each setting.
func rowGroups(s *fit.Study, f *fit.Fit) [][]int {
	var out [][]int
	by := map[int][]int{}
	var cfgs []int
	for k, w := range f.Rows {
		if w.Slip() && w.Coarse {
			continue // a unit or a sign that fits
		}
		out = append(out, []int{k})
		c := s.Observation[w.Observation].Cfg
		if by[c] == nil {
			cfgs = append(cfgs, c)
		}
		by[c] = append(by[c], k)
	}
	slices.Sort(cfgs)
	for _, c := range cfgs {
		if len(by[c]) > 1 {
			out = append(out, by[c])
		}
	}
	return out[:min(len(out), causeGroups)]
}

// causesOf lists the faults that promise most in place of some rows of a set.
func (g *Search) causesOf(f *fit.Fit, aside []int) []screen.Idea {
	h, prior := fit.Hypothesis{Faults: f.Faults}, f.Prior
	for k, w := range f.Rows {
		if slices.Contains(aside, k) {
			prior -= math.Log(w.Prior)
		} else {
			h.Rows = append(h.Rows, w)
		}
	}
	pool := g.Workers()
	base := pool[0].Linearised(h, f.At)
	if !base.Ok() {
		return nil
	}
	base.Prior = prior
	first, effect := FirstLook(pool[0], base, g.Sites)
	if effect == nil {
		return nil
	}
	by := screen.ByScore(first)
	by = by[:min(len(by), causeLooks)]
	of := effect.Of(by)
	numeric.OnEachWorker(func(w int) { screen.SecondLook(pool[w], base, first, of, by, w) })
	var out []screen.Idea
	for _, x := range screen.BestFirst(first) {
		if len(out) == causeFits || x.Score < g.Best()-g.Off-g.causeWindow() {
			break
		}
		if x.Key = screen.KeyOf(x.Hypothesis, g.Vid, g.Wid); !g.Seen[x.Key] {
			g.Seen[x.Key] = true
			out = append(out, x)
		}
	}
	return out
}
