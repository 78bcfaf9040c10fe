package repair

import (
	"math"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
)

// What may have happened between two surveys, as odds on top of how likely a
// fault is at all. Common practice, no source.
const (
	RepairWorked = 0.5  // expected number of faults that a repair mended
	RepairPartly = 0.1  // of those, the share that is only less bad, or now worse
	RepairAside  = 0.05 // expected number of faults that came up meanwhile
	RepairLeft   = 0.4  // expected number of faults that are there before and after
	FilterOften  = 4.0  // how much more often than by its share a filter is what was mended
	RepairAimed  = 0.5  // share of what was mended that is at the place said to be repaired
)

// pairPriors are the probabilities that a site is at fault at a moment.
type pairPriors [fault.Always + 1][]float64

// priorsOf divides what is expected among the sites; aimed marks those at
// which something was done, if that is known.
func priorsOf(ss []*fault.Site, aimed []bool) *pairPriors {
	var total, mended, at float64
	often := func(s *fault.Site) float64 {
		if s.Kind == fault.FilterLoaded {
			return FilterOften * s.Prior
		}
		return s.Prior
	}
	for i, s := range ss {
		total, mended = total+s.Prior, mended+often(s)
		if aimed[i] {
			at += s.Prior
		}
	}
	p := &pairPriors{}
	for i, s := range ss {
		share := s.Prior / total
		worked := often(s) / mended * RepairWorked
		if at > 0 {
			worked *= 1 - RepairAimed
			if aimed[i] {
				worked += RepairWorked * RepairAimed * s.Prior / at
			}
		}
		p[fault.Before] = append(p[fault.Before], worked)
		p[fault.After] = append(p[fault.After], share*RepairAside)
		p[fault.Always] = append(p[fault.Always], share*RepairLeft)
	}
	return p
}

// timed is where something may be wrong at some moment: the sites of one survey, once
// for each.
type timed struct {
	sites []*fault.Site // of a moment each
	of    []int         // which of the sites of one survey
	at    [fault.Always + 1][]*fault.Site
	prior *pairPriors
}

func timedOf(ss []*fault.Site, prior *pairPriors) *timed {
	t := &timed{prior: prior}
	for _, w := range fault.Moments {
		for i, s := range ss {
			x := *s
			x.Variants = nil
			for _, v := range s.Variants {
				v = v.In(w)
				v.Site = len(t.sites)
				x.Variants = append(x.Variants, v)
			}
			if x.Prior > 0 {
				x.Prior = prior[w][i]
			}
			t.sites, t.of, t.at[w] = append(t.sites, &x), append(t.of, i), append(t.at[w], &x)
		}
	}
	return t
}

// moved is a variant at another moment.
func (t *timed) moved(v *fault.Variant, w fault.Moment) *fault.Variant {
	i := slices.Index(t.sites[v.Site].Variants, v)
	return t.at[w][t.of[v.Site]].Variants[i]
}

// joins says whether a fault may join a set: a site is at fault once, or once
// before and once after in the same way.
func (t *timed) joins(faults []*fault.Variant, v *fault.Variant) bool {
	return !slices.ContainsFunc(faults, func(f *fault.Variant) bool {
		return t.of[f.Site] == t.of[v.Site] && (f.When&v.When != 0 || t.moved(f, v.When) != v)
	})
}

// odds is the log prior of a set against none. A site that is at fault before and
// after, each time in its own measure, counts as one thing that happened.
func (t *timed) odds(faults []*fault.Variant) float64 {
	var out float64
	for i, f := range faults {
		lone := true
		for j, g := range faults {
			if i == j || t.of[g.Site] != t.of[f.Site] {
				continue
			}
			lone = false
			if i < j {
				out += screen.LogOdds(RepairPartly*t.prior[fault.Before][t.of[f.Site]]) + math.Log(f.Weight)
			}
		}
		if lone {
			out += screen.LogOdds(t.prior[f.When][t.of[f.Site]]) + math.Log(f.Weight)
		}
	}
	return out
}

// others are a set with one of its faults at another moment.
func (t *timed) others(f *fit.Fit) []screen.Idea {
	var out []screen.Idea
	for i, x := range f.Faults {
		less := slices.Delete(slices.Clone(f.Faults), i, i+1)
		for _, w := range fault.Moments {
			if v := t.moved(x, w); w != x.When && t.joins(less, v) {
				faults := slices.Clone(f.Faults)
				faults[i] = v
				out = append(out, screen.Idea{Hypothesis: fit.Hypothesis{Faults: faults}, From: f, Prior: t.odds(faults)})
			}
		}
	}
	return out
}

// searchOf is a search over both surveys at once.
func (t *timed) searchOf(p *fit.Pair) *search.Search {
	g := search.NewSearch(p.Study, t.sites, nil)
	g.Joins, g.Odds, g.Also = t.joins, t.odds, t.others
	return g
}

// widest is the factor on the spread under which a fit is most probable, from
// the pair's own on.
func widest(p *fit.Pair, f *fit.Fit, from int) int {
	best, top := from, math.Inf(-1)
	for k := from; k < len(search.SpreadFactors); k++ {
		x := search.SpreadFactors[k]
		if x.By < search.SpreadFactors[from].By {
			continue
		}
		if e, ok := p.Rescaled(f, x.By, p.NoiseScale); ok && e+x.Prior > top {
			best, top = k, e+x.Prior
		}
	}
	return best
}
