package diagnose

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"gonum.org/v1/gonum/mat"
)

// What may have happened between two surveys, as odds on top of how likely a
// fault is at all. Common practice, no source.
const (
	repairWorked = 0.5  // expected number of faults that a repair mended
	repairPartly = 0.1  // of those, the share that is only less bad, or now worse
	repairAside  = 0.05 // expected number of faults that came up meanwhile
	repairLeft   = 0.4  // expected number of faults that are there before and after
	filterOften  = 4.0  // how much oftener than by its share a filter is what was mended
	repairAimed  = 0.5  // share of what was mended that is at the place said to be repaired
)

// pairPriors are the probabilities that a site is at fault at a moment.
type pairPriors [always + 1][]float64

// priorsOf divides what is expected among the sites; aimed marks those at
// which something was done, if that is known.
func priorsOf(ss []*site, aimed []bool) *pairPriors {
	var total, mended, at float64
	often := func(s *site) float64 {
		if s.kind == FilterLoaded {
			return filterOften * s.prior
		}
		return s.prior
	}
	for i, s := range ss {
		total, mended = total+s.prior, mended+often(s)
		if aimed[i] {
			at += s.prior
		}
	}
	p := &pairPriors{}
	for i, s := range ss {
		share := s.prior / total
		worked := often(s) / mended * repairWorked
		if at > 0 {
			worked *= 1 - repairAimed
			if aimed[i] {
				worked += repairWorked * repairAimed * s.prior / at
			}
		}
		p[before] = append(p[before], worked)
		p[after] = append(p[after], share*repairAside)
		p[always] = append(p[always], share*repairLeft)
	}
	return p
}

// of is the log prior of a set against none. A site that is at fault before and
// after, each time in its own measure, counts as one thing that happened.
func (p *pairPriors) of(faults []timed) float64 {
	var out float64
	for i, f := range faults {
		lone := true
		for j, g := range faults {
			if i == j || g.site != f.site {
				continue
			}
			lone = false
			if i < j {
				out += logOdds(repairPartly*p[before][f.site]) + math.Log(f.weight)
			}
		}
		if lone {
			out += logOdds(p[f.when][f.site]) + math.Log(f.weight)
		}
	}
	return out
}

// pairSearch grows sets of timed faults from none, as search does those of one survey.
type pairSearch struct {
	p      *pair
	sites  []*site
	priors *pairPriors
	vid    map[*variant]int
	pool   []*pair
	seen   map[string]bool
	all    []*pairFit
}

type pairIdea struct {
	faults []timed
	start  point
	score  float64
	key    string
}

func newPairSearch(p *pair, ss []*site, priors *pairPriors) *pairSearch {
	g := &pairSearch{p: p, sites: ss, priors: priors, vid: map[*variant]int{}, seen: map[string]bool{}}
	for _, s := range ss {
		for _, v := range s.variants {
			g.vid[v] = len(g.vid)
		}
	}
	for range workers {
		g.pool = append(g.pool, p.twin())
	}
	return g
}

func (g *pairSearch) key(faults []timed) string {
	var k []string
	for _, f := range faults {
		k = append(k, fmt.Sprint(g.vid[f.variant], "/", f.when))
	}
	slices.Sort(k)
	return strings.Join(k, " ")
}

func (g *pairSearch) run(ctx context.Context) error {
	root := g.p.fit(nil, nil, g.p.start())
	if !root.ok {
		return cmp.Or(g.p.s[0].failed, g.p.s[1].failed, errNoFit)
	}
	g.all, g.seen[""] = []*pairFit{root}, true
	for range maxFaults + 1 {
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
		if x, y := g.all[a].score(), g.all[b].score(); x != y {
			return x > y
		}
		return g.all[a].key < g.all[b].key
	})
}

// beam picks the best sets that have not been grown from.
func (g *pairSearch) beam() []*pairFit {
	g.sort()
	var out []*pairFit
	like := map[string]int{}
	for _, f := range g.all {
		if len(out) == beamWidth || f.score() < g.all[0].score()-beamWindow {
			break
		}
		if k := g.coarse(f.faults); f.grown || len(f.faults) >= maxFaults || like[k] >= 2 {
			like[k]++
		} else {
			like[k]++
			f.grown = true
			out = append(out, f)
		}
	}
	return out
}

// coarse names a set by the ducts of its faults and what they do to the air.
func (g *pairSearch) coarse(faults []timed) string {
	var k []string
	for _, f := range faults {
		s := g.sites[f.site]
		k = append(k, fmt.Sprint(s.duct, obstructs(s.kind), s.kind >= FilterLoaded, f.when))
	}
	slices.Sort(k)
	return strings.Join(k, " ")
}

// ideas are the additions to the given fits that promise most.
func (g *pairSearch) ideas(grow []*pairFit) []pairIdea {
	var out []pairIdea
	for _, f := range grow {
		out = append(out, g.screen(f)...)
	}
	out = g.once(out)
	if len(out) == 0 {
		return nil
	}
	top := math.Max(out[0].score, g.all[0].score())
	bar := top - window - 0.2*math.Max(0, out[0].score-g.all[0].score())
	n := 0
	for n < len(out) && n < fitsALevel && out[n].score >= bar {
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
func (g *pairSearch) screen(f *pairFit) []pairIdea {
	effects := g.effects(f)
	m := g.p.size()
	var out []pairIdea
	add := func(v *variant, when moment) {
		if !g.fits(f.faults, v, when) {
			return
		}
		faults := append(slices.Clone(f.faults), timed{v, when})
		out = append(out, pairIdea{faults: faults, start: f.at, key: g.key(faults)})
	}
	for _, s := range g.sites {
		for _, v := range s.variants {
			for _, w := range moments {
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
		for k := range g.p.s {
			for i := range g.p.s[k].obs {
				if v.when.at(k) {
					cols.Set(g.p.row(k)+i, c, effects[k].At(i, g.vid[v.variant]))
				}
			}
		}
	}
	for c, gain := range gains(&f.chol, f.alpha, cols) {
		out[c].score = f.evidence + g.priors.of(out[c].faults) + gain
	}
	out = g.once(out)
	g.secondLook(f, out[:min(len(out), secondLooks)])
	return out
}

// secondLook solves the most promising additions at a typical severity.
func (g *pairSearch) secondLook(f *pairFit, list []pairIdea) {
	m := g.p.size()
	inPairs(len(list), func(n int) {
		p, x := g.pool[n%workers], &list[n]
		h, d, sd := make([]float64, m), mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
		last := x.faults[len(x.faults)-1]
		at := point{theta: f.at.theta, z: append(slices.Clone(f.at.z), severities[last.kind].mean)}
		if p.predict(&pairFit{faults: x.faults, at: at}, h) != nil {
			return
		}
		for i := range h {
			d.SetVec(i, h[i]-f.h[i])
		}
		if solved(f.chol.SolveVecTo(sd, d)) {
			x.score = f.evidence + g.priors.of(x.faults) + amplitudeGain(mat.Dot(d, f.alpha), mat.Dot(d, sd))
		}
	})
}

// fits says whether a fault may join a set: a site is at fault once, or once
// before and once after in the same way.
func (g *pairSearch) fits(faults []timed, v *variant, when moment) bool {
	for _, f := range faults {
		if f.site == v.site && (f.when&when != 0 || f.variant != v) {
			return false
		}
	}
	return g.sites[v.site].prior > 0
}

// effects are the linear effects of every variant on each survey's observations.
func (g *pairSearch) effects(f *pairFit) [2]*mat.Dense {
	var out [2]*mat.Dense
	for k, s := range g.p.s {
		q, h, _ := g.p.part(k, f)
		s.setCoefs(q, h.faults)
		slopes := make([][]slope, len(g.vid))
		for _, st := range g.sites {
			for _, v := range st.variants {
				slopes[g.vid[v]] = v.deltas(&s.coef)
			}
		}
		out[k] = mat.NewDense(len(s.obs), len(slopes), nil)
		s.effects(&fitted{hypothesis: h, at: q}, slopes, out[k])
	}
	return out
}

// others are the best sets less one of their faults, and with one of them at
// another moment.
func (g *pairSearch) others() []pairIdea {
	g.sort()
	var out []pairIdea
	for _, f := range g.all[:min(beamWidth, len(g.all))] {
		for i, x := range f.faults {
			less := slices.Delete(slices.Clone(f.faults), i, i+1)
			at := point{theta: f.at.theta, z: slices.Delete(slices.Clone(f.at.z), i, i+1)}
			out = append(out, pairIdea{faults: less, start: at, key: g.key(less)})
			for _, w := range moments {
				if w != x.when && g.fits(less, x.variant, w) {
					moved := slices.Clone(f.faults)
					moved[i].when = w
					out = append(out, pairIdea{faults: moved, start: f.at, key: g.key(moved)})
				}
			}
		}
	}
	return g.once(out)
}

// try fits ideas with two workers, each its own share.
func (g *pairSearch) try(list []pairIdea) {
	fits := make([]*pairFit, len(list))
	inPairs(len(list), func(i int) {
		f := g.pool[i%workers].fit(list[i].faults, nil, list[i].start)
		f.prior, f.key = g.priors.of(f.faults), list[i].key
		fits[i] = f
	})
	for i, f := range fits {
		g.seen[list[i].key] = true
		if f.ok {
			g.all = append(g.all, f)
		}
	}
}

// widest is the factor on the spread under which a fit is most probable, from
// the pair's own on.
func (p *pair) widest(f *pairFit, from int) int {
	defer func(k float64) { p.kappa = k }(p.kappa)
	best, top := from, math.Inf(-1)
	for k := from; k < len(spreadFactors); k++ {
		if p.kappa = spreadFactors[k].by; p.kappa < spreadFactors[from].by {
			continue
		}
		x := *f
		x.chol = cholesky{} // not the fit's own storage
		if !p.factor(&x) {
			continue
		}
		if p.weigh(&x) && x.evidence-f.left+spreadFactors[k].prior > top {
			best, top = k, x.evidence-f.left+spreadFactors[k].prior
		}
	}
	return best
}
