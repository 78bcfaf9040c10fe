package diagnose

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"sync"
)

// Bounds of the search. They cost time and change no probability by more than
// the weight of what they leave out.
const (
	beamWidth    = 4   // hypotheses grown from at each level
	beamScouting = 2   // the same of a search for the factors
	beamWindow   = 3.5 // nats below the best that one may lie and still be grown from
	maxFaults    = 4
	maxParts     = 7   // faults and wrong rows together
	fitsALevel   = 24  // hypotheses fitted exactly at each level
	fitsThinned  = 10  // the same of a thinned survey
	fitsScouting = 6   // the same of a search for the factors
	window       = 5.0 // nats below the best that an idea may promise and still be fitted
)

// search grows hypotheses from the sound one, a fault or a wrong row at a time.
type search struct {
	s     *study
	sites []*site
	rows  []*wrong
	vid   map[*variant]int
	wid   map[*wrong]int
	seen  map[string]bool
	all   []*fitted
	rest  []idea // screened and not fitted
	sound *fitted
	pool  []*study
	joint *joint   // of survey and baseline; nil: the survey alone
	both  []*joint // a twin for each worker
	scale scale
	found []idea  // by a search under other factors
	off   float64 // what the best gained when it was fitted to both

	scouting bool // only to see which factors hold: fewer explanations are fitted
	scouted  bool // and then the others
}

// errNoFit says that not even the sound system could be fitted to the readings.
var errNoFit = errors.New("the readings can't be reckoned with: look for a value that is far too large")

func newSearch(s *study, ss []*site, rows []*wrong) *search {
	g := &search{s: s, sites: ss, rows: rows, vid: map[*variant]int{}, wid: map[*wrong]int{}, seen: map[string]bool{}}
	for _, st := range ss {
		for _, v := range st.variants {
			g.vid[v] = len(g.vid)
		}
	}
	for _, w := range rows {
		g.wid[w] = len(g.wid)
	}
	return g
}

func (g *search) run(ctx context.Context, steps func(done, of int)) error {
	start := g.s.before()
	beam := g.roots(start)
	if len(beam) == 0 {
		return cmp.Or(g.s.failed, errNoFit)
	}
	sortFits(beam)
	g.sound = beam[0]
	g.all = append(g.all, beam...)
	g.all = append(g.all, g.tryAll(slices.DeleteFunc(g.found, func(x idea) bool { return g.seen[x.key] }))...)
	for _, f := range beam {
		f.grown = true
	}
	return g.widen(ctx, beam, steps)
}

// again searches on from all that a scouting search found, as one that is none.
func (g *search) again(ctx context.Context, steps func(done, of int)) error {
	g.scouting, g.scouted, g.rest = false, true, nil
	for _, f := range g.all {
		f.grown = false
	}
	return g.widen(ctx, g.beam(), steps)
}

// widen grows from the beam for as long as that finds something.
func (g *search) widen(ctx context.Context, beam []*fitted, steps func(done, of int)) error {
	if err := g.grow(ctx, beam, maxParts, steps); err != nil {
		return err
	}
	if g.joint != nil {
		g.together()
		if err := g.grow(ctx, g.beam(), jointRounds, nil); err != nil {
			return err
		}
		g.together()
	}
	sortFits(g.all)
	return nil
}

// grow adds to the beam, and to what is best then, so many levels on.
func (g *search) grow(ctx context.Context, beam []*fitted, levels int, steps func(done, of int)) error {
	for level := range levels {
		if err := ctx.Err(); err != nil {
			return err
		}
		if len(beam) == 0 {
			break
		}
		if steps != nil {
			steps(level, levels)
		}
		g.all = append(g.all, g.fitBest(g.ideas(beam))...)
		g.all = append(g.all, g.tryAll(g.lessOne())...)
		beam = g.beam()
	}
	return nil
}

// beam picks what to grow from next: the best that have not been grown from.
// One that lies far below the best can't have children that count, since each
// further fault costs its prior. Of those that differ by a neighbour only,
// which have like children, two will do.
func (g *search) beam() []*fitted {
	sortFits(g.all)
	var out []*fitted
	like := map[string]int{}
	for _, f := range g.all {
		if f.score() < g.all[0].score()-beamWindow || len(out) == beamWidth {
			break
		}
		if g.scouting && len(out) == beamScouting {
			break
		}
		k := g.coarse(f.hypothesis)
		if f.grown {
			like[k]++
			continue
		}
		if like[k]++; like[k] <= 2 {
			f.grown = true
			out = append(out, f)
		}
	}
	return out
}

// coarse names a hypothesis by where its faults lie and what they do to the
// air, not by which of the like ones they are.
func (g *search) coarse(h hypothesis) string {
	var parts []string
	for _, v := range h.faults {
		s := g.sites[v.site]
		d := s.duct
		if d >= 0 && len(g.s.m.Sys.Ducts[d].Children) == 0 && g.s.m.Sys.Ducts[d].Into >= 0 {
			d = g.s.m.Sys.Ducts[d].Into
		}
		parts = append(parts, fmt.Sprint(d, obstructs(s.kind), s.kind >= FilterLoaded))
	}
	for _, w := range h.rows {
		parts = append(parts, fmt.Sprint("row", w.obs))
	}
	sort.Strings(parts)
	return strings.Join(parts, " ")
}

// roots are the fits that the search grows from: the sound system, and, if
// rows are so far out that they would bend any fit, the sound system without them.
func (g *search) roots(start point) []*fitted {
	var out []*fitted
	h, prior := g.gross(start)
	for _, x := range []idea{{hypothesis: h, prior: prior}, {}} {
		if len(out) > 0 && len(h.rows) == 0 {
			break
		}
		x.key = keyOf(x.hypothesis, g.vid, g.wid)
		g.seen[x.key] = true
		if f := g.s.fit(x.hypothesis, start); f.ok {
			f.prior, f.key = x.prior, x.key
			out = append(out, f)
		}
	}
	return out
}

// gross finds rows that are out by a unit, a sign or a decimal place, one
// after the other, against what the system should show before anything was read.
func (g *search) gross(start point) (hypothesis, float64) {
	var h hypothesis
	prior := 0.0
	for range 1 + len(g.s.obs)/4 {
		f := g.s.linearised(h, start)
		if !f.ok {
			break
		}
		best, gain := (*wrong)(nil), 10.0
		for _, x := range g.s.screenRows(f, g.rows, math.Inf(-1)) {
			w := x.rows[len(x.rows)-1]
			if w.drop || w.cfg >= 0 || !w.coarse || len(x.rows) == len(h.rows) {
				continue
			}
			if v := x.score - f.score(); v > gain {
				best, gain = w, v
			}
		}
		if best == nil {
			break
		}
		// What it should have been is left open until the faults are known.
		for _, w := range g.rows {
			if w.obs == best.obs && w.drop {
				best = w
			}
		}
		h.rows = append(h.rows, best)
		prior += math.Log(best.prior)
	}
	return h, prior
}

// lessMost is how many of the best sets are looked at for what they don't need:
// neighbours that are alike beside a wrong row are not without it.
const lessMost = 3 * beamWidth

// lessOne lists the best sets without one of their parts: a fault or a wrong
// row that was taken in while a large fault bent the fit may not be needed
// once that fault is there.
func (g *search) lessOne() []idea {
	sortFits(g.all)
	var out []idea
	for i, f := range g.all {
		if i == lessMost || f.score() < g.all[0].score()-beamWindow {
			break
		}
		for k := range len(f.faults) + len(f.rows) {
			x := g.without(f, k)
			if x.key = keyOf(x.hypothesis, g.vid, g.wid); !g.seen[x.key] {
				g.seen[x.key] = true
				out = append(out, x)
			}
		}
	}
	return out
}

// without is f less its k-th part, faults counted first.
func (g *search) without(f *fitted, k int) idea {
	at := point{f.at.theta, slices.Clone(f.at.z), f.at.dual}
	x := idea{hypothesis: hypothesis{slices.Clone(f.faults), slices.Clone(f.rows)}, prior: f.prior, score: f.score()}
	if n := len(f.faults); k < n {
		v := f.faults[k]
		x.prior -= logOdds(g.sites[v.site].prior) + math.Log(v.weight)
		x.faults, at.z = slices.Delete(x.faults, k, k+1), slices.Delete(at.z, k, k+1)
	} else {
		x.prior -= math.Log(f.rows[k-n].prior)
		x.rows = slices.Delete(x.rows, k-n, k-n+1)
	}
	x.from = &fitted{at: at}
	return x
}

func (g *search) best() float64 {
	b := g.all[0].score()
	for _, f := range g.all {
		b = max(b, f.score())
	}
	return b
}

func sortFits(f []*fitted) {
	sort.SliceStable(f, func(i, j int) bool { return f[i].score() > f[j].score() })
}

// ideas screens the beam and returns what is new, best first.
func (g *search) ideas(beam []*fitted) []idea {
	var out []idea
	best := map[string]int{}
	for _, list := range g.screen(beam) {
		for _, x := range list {
			if len(x.faults) > maxFaults {
				continue
			}
			if g.seen[x.key] {
				continue
			}
			if i, ok := best[x.key]; ok {
				if x.score > out[i].score {
					out[i] = x
				}
				continue
			}
			best[x.key] = len(out)
			out = append(out, x)
		}
	}
	return bestFirst(out)
}

// byScore are the places of ideas in the order of what they promise.
func byScore(list []idea) []int {
	by := make([]int, len(list))
	for i := range by {
		by[i] = i
	}
	slices.SortStableFunc(by, func(i, j int) int { return cmp.Compare(list[j].score, list[i].score) })
	return by
}

// bestFirst sorts ideas by what they promise.
func bestFirst(list []idea) []idea {
	out := make([]idea, len(list))
	for k, i := range byScore(list) {
		out[k] = list[i]
	}
	return out
}

// fitBest fits the ideas that promise most.
func (g *search) fitBest(ideas []idea) []*fitted {
	if len(ideas) == 0 {
		return nil
	}
	// The screen is linear: the more an idea promises, the less exactly.
	top := ideas[0]
	slack := 0.2 * max(0, top.score-top.from.score())
	bar := max(g.best(), top.score) - window - slack
	var fit []idea
	for _, x := range ideas {
		if len(fit) >= g.fits() || x.score < bar {
			x.off = g.gained(x.from)
			g.rest = append(g.rest, x)
			continue
		}
		fit = append(fit, x)
	}
	return g.tryAll(fit)
}

// tryAll fits ideas, and gives up on the way what will lie far below the best:
// the first few show how well the readings can be fitted.
func (g *search) tryAll(ideas []idea) []*fitted {
	best := math.Inf(-1)
	if len(g.all) > 0 {
		best = g.best()
	}
	few := min(len(ideas), 2*workers)
	out := g.try(ideas[:few], best)
	for _, f := range out {
		best = max(best, f.score())
	}
	return append(out, g.try(ideas[few:], best)...)
}

// try fits ideas with two workers, each its own share, so that the same
// ideas give the same bytes whatever the machine does meanwhile.
func (g *search) try(ideas []idea, best float64) []*fitted {
	fits := make([]*fitted, len(ideas))
	for _, x := range ideas {
		g.seen[x.key] = true
	}
	pool := g.workers()
	beside(func(w int) {
		s := pool[w]
		for i := w; i < len(ideas); i += workers {
			if s.ref = ideas[i].from.fit; s.ref == nil {
				s.ref = g.sound.fit
			}
			s.bar = best - ideas[i].prior - hopeless - g.off
			start := ideas[i].from.at
			if ideas[i].start != nil {
				start = *ideas[i].start
			}
			if len(start.z) < len(ideas[i].faults) {
				start.z = append(slices.Clone(start.z), ideas[i].z)
			}
			f := s.fit(ideas[i].hypothesis, start)
			f.prior, f.key, f.swap = ideas[i].prior, ideas[i].key, ideas[i].swap
			f.evidence += g.off
			fits[i] = f
		}
	})
	var out []*fitted
	for _, f := range fits {
		if f.ok {
			out = append(out, f)
		}
	}
	return out
}

// fits is how many hypotheses are fitted exactly at each level.
func (g *search) fits() int {
	switch {
	case g.scouting:
		return fitsScouting
	case g.scouted:
		return fitsALevel - fitsScouting
	case g.s.lost != nil:
		return fitsThinned
	}
	return fitsALevel
}

// workers is how many fits go on at once.
const workers = 2

// beside runs work for each worker at the same time. Each does a share that
// does not hang on how fast the others are.
func beside(work func(w int)) {
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() { work(w) })
	}
	wg.Wait()
}

// inPairs calls f for 0..n-1 from the workers, each its own share, so that the
// same work gives the same bytes whatever the machine does meanwhile.
func inPairs(n int, f func(i int)) {
	beside(func(w int) {
		for i := w; i < n; i += workers {
			f(i)
		}
	})
}

// workers returns a study for each worker, with solver states of its own.
func (g *search) workers() []*study {
	for len(g.pool) < workers {
		g.pool = append(g.pool, g.s.twin())
	}
	return g.pool
}

// exchange puts in place of each fault of the best sets those that lie next to
// it, so that what can't be told apart is all there. A fault is put in place of
// another in one set at a time: where that was hopeless it is elsewhere too.
func (g *search) exchange() {
	defer func() { sortFits(g.all) }()
	poor := map[[2]int]bool{}
	for range exchangeRounds {
		sortFits(g.all)
		best := g.all[0].score()
		var ideas []idea
		for _, f := range g.all {
			if f.score() < best-exchangeWindow || len(ideas) > 4*g.fits() {
				break
			}
			ideas = append(ideas, g.exchanges(f, poor)...)
		}
		var fit []idea
		now := map[[2]int]bool{}
		for _, x := range bestFirst(ideas) {
			if !g.seen[x.key] && !now[x.swap] && x.score >= best-exchangeWindow && len(fit) < 2*g.fits() {
				g.seen[x.key], now[x.swap] = true, true
				fit = append(fit, x)
			}
		}
		if len(fit) == 0 {
			return
		}
		g.all = append(g.all, g.tryAll(fit)...)
		for _, x := range fit {
			poor[x.swap] = true
		}
		for _, f := range g.all {
			delete(poor, f.swap)
		}
	}
}

// exchangeRounds is how often faults are put in place of others.
const exchangeRounds = 3

// exchangeWindow is how far below the best a set may lie, in nats, to be worth an exchange.
const exchangeWindow = 3.5

// exchanges lists f with one fault replaced by a neighbour, at its score but for the priors.
func (g *search) exchanges(f *fitted, poor map[[2]int]bool) []idea {
	var out []idea
	used := map[int]bool{}
	for _, v := range f.faults {
		used[v.site] = true
	}
	for k, v := range f.faults {
		a := g.sites[v.site]
		if a.kind == FanWeak || a.kind == FilterLoaded {
			continue
		}
		for si, b := range g.sites {
			if used[si] && si != v.site || !adjoin(g.s.m.Sys, a.duct, b.duct) || obstructs(a.kind) != obstructs(b.kind) {
				continue
			}
			for _, w := range b.variants {
				swap := [2]int{g.vid[v], g.vid[w]}
				if w == v || poor[swap] {
					continue
				}
				faults := append([]*variant(nil), f.faults...)
				faults[k] = w
				prior := f.prior - logOdds(a.prior) - math.Log(v.weight) + logOdds(b.prior) + math.Log(w.weight)
				x := idea{hypothesis: hypothesis{faults, f.rows}, prior: prior, score: f.evidence + prior, from: f, swap: swap}
				x.from = &fitted{at: f.at.clone()}
				x.from.at.z[k] = severities[w.kind].mean
				if a.kind == b.kind {
					x.from.at.z[k] = f.at.z[k]
				}
				x.key = keyOf(x.hypothesis, g.vid, g.wid)
				if !g.seen[x.key] {
					out = append(out, x)
				}
			}
		}
	}
	return out
}

// obstructs tells faults that hinder the air from those that let it in.
func obstructs(k Kind) bool { return k == Blockage || k == GateRestricted || k == FilterLoaded }
