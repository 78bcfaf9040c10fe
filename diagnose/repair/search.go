package repair

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
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

// of is the log prior of a set against none. A site that is at fault before and
// after, each time in its own measure, counts as one thing that happened.
func (p *pairPriors) of(faults []*fault.Variant) float64 {
	var out float64
	for i, f := range faults {
		lone := true
		for j, g := range faults {
			if i == j || g.Site != f.Site {
				continue
			}
			lone = false
			if i < j {
				out += search.LogOdds(RepairPartly*p[fault.Before][f.Site]) + math.Log(f.Weight)
			}
		}
		if lone {
			out += search.LogOdds(p[f.When][f.Site]) + math.Log(f.Weight)
		}
	}
	return out
}

// pairSearch grows sets of timed faults from none, as search does those of one survey.
type pairSearch struct {
	p      *fit.Pair
	aside  []*fit.Wrong // rows of which nothing is believed
	sites  []*fault.Site
	priors *pairPriors
	vid    map[*fault.Variant]int // of a variant at any moment
	timed  map[*fault.Variant][fault.Always + 1]*fault.Variant
	pool   []*fit.Pair
	seen   map[string]bool
	all    []*fit.Fit
}

type pairIdea struct {
	faults []*fault.Variant
	start  fit.Point
	score  float64
	key    string
}

func newPairSearch(p *fit.Pair, aside []*fit.Wrong, ss []*fault.Site, priors *pairPriors) *pairSearch {
	g := &pairSearch{p: p, aside: aside, sites: ss, priors: priors, vid: map[*fault.Variant]int{}, timed: map[*fault.Variant][fault.Always + 1]*fault.Variant{}, seen: map[string]bool{}}
	n := 0
	for _, s := range ss {
		for _, v := range s.Variants {
			var at [fault.Always + 1]*fault.Variant
			for _, w := range fault.Moments {
				at[w] = v.In(w)
				g.vid[at[w]] = n
			}
			for _, w := range fault.Moments {
				g.timed[at[w]] = at
			}
			g.timed[v] = at
			n++
		}
	}
	for range numeric.Workers {
		g.pool = append(g.pool, p.Twin())
	}
	return g
}

func (g *pairSearch) key(faults []*fault.Variant) string {
	var k []string
	for _, f := range faults {
		k = append(k, fmt.Sprint(g.vid[f], "/", f.When))
	}
	slices.Sort(k)
	return strings.Join(k, " ")
}

func (g *pairSearch) run(ctx context.Context) error {
	root := g.p.Fit(fit.Hypothesis{Rows: g.aside}, g.p.Before())
	if !root.Ok {
		return cmp.Or(g.p.S[0].Failed, g.p.S[1].Failed, search.ErrNoFit)
	}
	g.all, g.seen[""] = []*fit.Fit{root}, true
	for range search.MaxFaults + 1 {
		if err := ctx.Err(); err != nil {
			return err
		}
		grow := g.beam()
		if len(grow) == 0 {
			break
		}
		g.try(g.ideas(grow))
		g.try(g.others())
	}
	g.sort()
	return nil
}

func (g *pairSearch) sort() {
	sort.SliceStable(g.all, func(a, b int) bool {
		if x, y := g.all[a].Score(), g.all[b].Score(); x != y {
			return x > y
		}
		return g.all[a].Key < g.all[b].Key
	})
}

// beam picks the best sets that have not been grown from.
func (g *pairSearch) beam() []*fit.Fit {
	g.sort()
	var out []*fit.Fit
	like := map[string]int{}
	for _, f := range g.all {
		if len(out) == search.BeamWidth || f.Score() < g.all[0].Score()-search.BeamWindow {
			break
		}
		if k := g.coarse(f.Faults); f.Grown || len(f.Faults) >= search.MaxFaults || like[k] >= 2 {
			like[k]++
		} else {
			like[k]++
			f.Grown = true
			out = append(out, f)
		}
	}
	return out
}

// coarse names a set by the ducts of its faults and what they do to the air.
func (g *pairSearch) coarse(faults []*fault.Variant) string {
	var k []string
	for _, f := range faults {
		s := g.sites[f.Site]
		k = append(k, fmt.Sprint(s.Duct, fault.Obstructs(s.Kind), fault.OfItsOwn(s.Kind), f.When))
	}
	slices.Sort(k)
	return strings.Join(k, " ")
}

// ideas are the additions to the given fits that promise most.
func (g *pairSearch) ideas(grow []*fit.Fit) []pairIdea {
	var out []pairIdea
	for _, f := range grow {
		out = append(out, g.screen(f)...)
	}
	out = g.once(out)
	if len(out) == 0 {
		return nil
	}
	top := math.Max(out[0].score, g.all[0].Score())
	bar := top - search.Window - 0.2*math.Max(0, out[0].score-g.all[0].Score())
	n := 0
	for n < len(out) && n < search.FitsALevel && out[n].score >= bar {
		n++
	}
	return out[:n]
}

// once sorts ideas, best first, each set once and none that was tried.
func (g *pairSearch) once(list []pairIdea) []pairIdea {
	sort.SliceStable(list, func(a, b int) bool {
		if list[a].score != list[b].score {
			return list[a].score > list[b].score
		}
		return list[a].key < list[b].key
	})
	var out []pairIdea
	have := map[string]bool{}
	for _, x := range list {
		if !have[x.key] && !g.seen[x.key] {
			have[x.key] = true
			out = append(out, x)
		}
	}
	return out
}

// screen rates every addition to a fit: first by its linear effect, then, of
// those that promise most, by the effect of a typical severity.
func (g *pairSearch) screen(f *fit.Fit) []pairIdea {
	effects := g.effects(f)
	m := len(g.p.Observation)
	var out []pairIdea
	add := func(v *fault.Variant, when fault.Moment) {
		if !g.fits(f.Faults, v, when) {
			return
		}
		faults := append(slices.Clone(f.Faults), g.timed[v][when])
		out = append(out, pairIdea{faults: faults, start: f.At, key: g.key(faults)})
	}
	for _, s := range g.sites {
		for _, v := range s.Variants {
			for _, w := range fault.Moments {
				add(v, w)
			}
		}
	}
	if len(out) == 0 {
		return nil
	}
	cols := mat.NewDense(m, len(out), nil)
	for c, x := range out {
		v := x.faults[len(x.faults)-1]
		for k := range g.p.S {
			for i := range g.p.S[k].Observation {
				if v.When.At(k) {
					cols.Set(g.p.Row(k)+i, c, effects[k].At(i, g.vid[v]))
				}
			}
		}
	}
	for c, gain := range search.Gains(&f.Fit.Chol, f.Fit.Alpha, cols) {
		out[c].score = f.Evidence + g.priors.of(out[c].faults) + gain
	}
	out = g.once(out)
	g.secondLook(f, out[:min(len(out), search.SecondLooks)])
	return out
}

// secondLook solves the most promising additions at a typical severity.
func (g *pairSearch) secondLook(f *fit.Fit, list []pairIdea) {
	m := len(g.p.Observation)
	numeric.ForEach(len(list), func(n int) {
		p, x := g.pool[n%numeric.Workers], &list[n]
		h, d, sd := make([]float64, m), mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
		last := x.faults[len(x.faults)-1]
		at := fit.Point{Theta: f.At.Theta, Z: append(slices.Clone(f.At.Z), last.Usual().Mean)}
		if p.Predict(at, fit.Hypothesis{Faults: x.faults, Rows: g.aside}, h) != nil {
			return
		}
		for i := range h {
			d.SetVec(i, h[i]-f.Fit.H[i])
		}
		if numeric.Solved(f.Fit.Chol.SolveVecTo(sd, d)) {
			x.score = f.Evidence + g.priors.of(x.faults) + search.AmplitudeGain(mat.Dot(d, f.Fit.Alpha), mat.Dot(d, sd))
		}
	})
}

// fits says whether a fault may join a set: a site is at fault once, or once
// before and once after in the same way.
func (g *pairSearch) fits(faults []*fault.Variant, v *fault.Variant, when fault.Moment) bool {
	for _, f := range faults {
		if f.Site == v.Site && (f.When&when != 0 || g.vid[f] != g.vid[g.timed[v][when]]) {
			return false
		}
	}
	return g.sites[v.Site].Prior > 0
}

// effects are the linear effects of every variant on each survey's observations.
func (g *pairSearch) effects(f *fit.Fit) [2]*mat.Dense {
	var out [2]*mat.Dense
	for k, s := range g.p.S {
		q, h, _ := g.p.Part(k, f.At, f.Hypothesis)
		s.SetCoefs(q, h.Faults)
		slopes := make([][]fault.Slope, len(g.vid)/len(fault.Moments))
		for _, st := range g.sites {
			for _, v := range st.Variants {
				slopes[g.vid[g.timed[v][fault.Always]]] = v.Deltas(&s.Coef)
			}
		}
		out[k] = mat.NewDense(len(s.Observation), len(slopes), nil)
		search.Effects(s, &fit.Fit{Hypothesis: h, At: q}, slopes, out[k])
	}
	return out
}

// others are the best sets less one of their faults, and with one of them at
// another moment.
func (g *pairSearch) others() []pairIdea {
	g.sort()
	var out []pairIdea
	for _, f := range g.all[:min(search.BeamWidth, len(g.all))] {
		for i, x := range f.Faults {
			less := slices.Delete(slices.Clone(f.Faults), i, i+1)
			at := fit.Point{Theta: f.At.Theta, Z: slices.Delete(slices.Clone(f.At.Z), i, i+1)}
			out = append(out, pairIdea{faults: less, start: at, key: g.key(less)})
			for _, w := range fault.Moments {
				if w != x.When && g.fits(less, x, w) {
					moved := slices.Clone(f.Faults)
					moved[i] = g.timed[x][w]
					out = append(out, pairIdea{faults: moved, start: f.At, key: g.key(moved)})
				}
			}
		}
	}
	return g.once(out)
}

// try fits ideas with two workers, each its own share.
func (g *pairSearch) try(list []pairIdea) {
	fits := make([]*fit.Fit, len(list))
	numeric.ForEach(len(list), func(i int) {
		f := g.pool[i%numeric.Workers].Fit(fit.Hypothesis{Faults: list[i].faults, Rows: g.aside}, list[i].start)
		f.Prior, f.Key = g.priors.of(f.Faults), list[i].key
		fits[i] = f
	})
	for i, f := range fits {
		g.seen[list[i].key] = true
		if f.Ok {
			g.all = append(g.all, f)
		}
	}
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
