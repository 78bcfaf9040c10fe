package search

import (
	"math"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/screen"
)

// ideas screens the beam and returns what is new, best first.
func (g *Search) ideas(beam []*fit.Fit) []screen.Idea {
	var out []screen.Idea
	best := map[string]int{}
	for _, list := range g.screen(beam) {
		for _, x := range list {
			if len(x.Faults) > MaxFaults {
				continue
			}
			if g.Seen[x.Key] {
				continue
			}
			if i, ok := best[x.Key]; ok {
				if x.Score > out[i].Score {
					out[i] = x
				}
				continue
			}
			best[x.Key] = len(out)
			out = append(out, x)
		}
	}
	return screen.BestFirst(out)
}

// screen estimates for every single addition to fitted hypotheses what it
// would gain. A first look is linear in everything, from the derivatives of
// one adjoint sweep a reading; what promises most there is solved exactly at a
// typical severity. Studies work beside one another.
func (g *Search) screen(beam []*fit.Fit) [][]screen.Idea {
	pool := g.Workers()
	first, rows, effect := make([][]screen.Idea, len(beam)), make([][]screen.Idea, len(beam)), make([]*screen.Linear, len(beam))
	best := g.Best()
	numeric.ForEach(len(beam), func(k int) {
		s, f := pool[k%numeric.Workers], beam[k]
		first[k], effect[k] = g.firstLook(s, f)
		rows[k] = screen.Rows(s, f, g.rows, best-forgotten)
		for _, list := range [][]screen.Idea{first[k], rows[k]} {
			for i := range list {
				list[i].Key = screen.KeyOf(list[i].Hypothesis, g.Vid, g.Wid)
			}
		}
	})
	for k, f := range beam {
		if f == g.Sound && g.S.Large() {
			g.tells(first[k])
		}
		by := screen.ByScore(first[k])
		n := 0
		for n < min(screen.SecondLooks, len(by)) && first[k][by[n]].Score > best-Window-lookedOver {
			n++
		}
		by = by[:n]
		if n > 0 {
			of := effect[k].Of(by)
			numeric.OnEachWorker(func(w int) { screen.SecondLook(pool[w], f, first[k], of, by, w) })
		}
		first[k] = append(rows[k], first[k]...)
	}
	return first
}

const (
	forgotten  = 30.0 // nats below the best that a wrong row may promise before it is forgotten
	lookedOver = 3.0  // nats that a second look may add to what promises little
)

// tells keeps how far faults would stand out of the sound system.
func (g *Search) tells(first []screen.Idea) {
	g.Tells = make([]float64, len(g.Vid))
	for i := range first {
		x := &first[i]
		g.Tells[g.Vid[x.Faults[len(x.Faults)-1]]] = max(1/(x.Times.Sd*x.Times.Sd)-1/screen.Tau2, 0)
	}
}

// FirstLook rates every addition by its linear effect, which comes with it; nil of none.
func FirstLook(s *fit.Study, f *fit.Fit, ss []*fault.Site) ([]screen.Idea, *screen.Linear) {
	return (&Search{Sites: ss}).firstLook(s, f)
}

// joins is whether a fault may come beside others: each site once, and the filter in one state.
func (g *Search) joins(faults []*fault.Variant, v *fault.Variant) bool {
	if g.Joins != nil {
		return g.Joins(faults, v)
	}
	filter := g.Sites[v.Site].Where == fault.FilterPlace
	return !slices.ContainsFunc(faults, func(x *fault.Variant) bool {
		return x.Site == v.Site || filter && g.Sites[x.Site].Where == fault.FilterPlace
	})
}

// odds are the log prior of f with a further fault.
func (g *Search) odds(f *fit.Fit, faults []*fault.Variant) float64 {
	if g.Odds != nil {
		return g.Odds(faults)
	}
	v := faults[len(faults)-1]
	return f.Prior + screen.LogOdds(g.Sites[v.Site].Prior) + math.Log(v.Weight)
}

func (g *Search) firstLook(s *fit.Study, f *fit.Fit) ([]screen.Idea, *screen.Linear) {
	var out []screen.Idea
	var ducts []int
	for _, st := range g.Sites {
		if st.Prior <= 0 {
			continue
		}
		for _, v := range st.Variants {
			if !g.joins(f.Faults, v) {
				continue
			}
			hy := fit.Hypothesis{Faults: append(append([]*fault.Variant(nil), f.Faults...), v), Rows: f.Rows}
			out = append(out, screen.Idea{Hypothesis: hy, From: f, Prior: g.odds(f, hy.Faults), Z: v.Usual().Mean})
			ducts = append(ducts, st.Duct)
		}
	}
	if len(out) == 0 {
		_ = s.Predict(f.At, f.Hypothesis, make([]float64, len(s.Observation))) // for the rows
		return nil, nil
	}
	return out, screen.Rate(s, f, out, ducts)
}
