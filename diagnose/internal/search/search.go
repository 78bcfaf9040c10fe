package search

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
)

// Bounds of the search. They cost time and change no probability by more than
// the weight of what they leave out.
const (
	BeamWidth    = 4   // hypotheses grown from at each level
	beamScouting = 2   // the same of a search for the factors
	BeamWindow   = 3.5 // nats below the best that one may lie and still be grown from
	MaxFaults    = 4
	maxParts     = 7   // faults and wrong rows together
	FitsALevel   = 24  // hypotheses fitted exactly at each level
	fitsThinned  = 10  // the same of a thinned survey
	fitsScouting = 6   // the same of a search for the factors
	Window       = 5.0 // nats below the best that an idea may promise and still be fitted
)

// Search grows hypotheses from the sound one, a fault or a wrong row at a time.
type Search struct {
	S     *fit.Study
	Sites []*fault.Site
	rows  []*fit.Wrong
	Vid   map[*fault.Variant]int
	Wid   map[*fit.Wrong]int
	Seen  map[string]bool
	All   []*fit.Fit
	Rest  []Idea // screened and not fitted
	Sound *fit.Fit
	pool  []*fit.Study
	Joint *Joint   // of survey and baseline; nil: the survey alone
	Both  []*Joint // a twin for each worker
	scale Scale
	found []Idea  // by a search under other factors
	Off   float64 // what the best gained when it was fitted to both
	must  int     // how many more are fitted to both whatever work was done

	Scouting bool // only to see which factors hold: fewer explanations are fitted
	scouted  bool // and then the others

	worth   func(g *Search) bool // whether to go on from what was given to begin with; nil: yes
	dropped bool                 // it was not worth it
	brief   bool                 // it takes less work as long as it scouts

	Joins func(faults []*fault.Variant, v *fault.Variant) bool // whether a fault may come beside others; nil: each site once
	Odds  func(faults []*fault.Variant) float64                // log prior of a set against none; nil: each by its site
	Also  func(f *fit.Fit) []Idea                              // what else to try in place of one of the best; nil: nothing

	Tells []float64  // of a large survey: how far a typical fault stands out, squared, by variant
	start *fit.Point // where the sound system was found under other factors, of a large survey
}

// ErrNoFit says that not even the sound system could be fitted to the readings.
var ErrNoFit = errors.New("the model can't fit these readings: look for a value that is far too large")

func NewSearch(s *fit.Study, ss []*fault.Site, rows []*fit.Wrong) *Search {
	g := &Search{S: s, Sites: ss, rows: rows, Vid: map[*fault.Variant]int{}, Wid: map[*fit.Wrong]int{}, Seen: map[string]bool{}}
	for _, st := range ss {
		for _, v := range st.Variants {
			g.Vid[v] = len(g.Vid)
		}
	}
	for _, w := range rows {
		g.Wid[w] = len(g.Wid)
	}
	return g
}

func (g *Search) Run(ctx context.Context, steps func(done, of int)) error {
	start := g.S.Before()
	if g.start != nil {
		start = *g.start
	}
	beam := g.roots(start)
	if len(beam) == 0 {
		return cmp.Or(ctx.Err(), g.S.Failed, ErrNoFit)
	}
	sortFits(beam)
	g.Sound = beam[0]
	g.All = append(g.All, beam...)
	g.All = append(g.All, g.tryAll(slices.DeleteFunc(g.found, func(x Idea) bool { return g.Seen[x.Key] }))...)
	if g.worth != nil && g.S.Thinned() { // what is compared with another world must not stop short
		g.polishLeaders(carryWindow, polishedOfWorld)
	}
	if g.worth != nil && !g.worth(g) {
		g.dropped = true
		sortFits(g.All)
		return nil
	}
	for _, f := range beam {
		f.Grown = true
	}
	return g.widen(ctx, beam, steps)
}

// Again searches on from all that a scouting search found, as one that is none.
func (g *Search) Again(ctx context.Context, steps func(done, of int)) error {
	g.Scouting, g.scouted, g.Rest = false, true, nil
	g.allow(g.most(predictionsMost))
	for _, f := range g.All {
		f.Grown = false
	}
	return g.widen(ctx, g.beam(), steps)
}

// widen grows from the beam for as long as that finds something.
func (g *Search) widen(ctx context.Context, beam []*fit.Fit, steps func(done, of int)) error {
	if err := g.grow(ctx, beam, maxParts, steps); err != nil {
		return err
	}
	if g.Joint != nil {
		g.Together()
		if err := g.grow(ctx, g.beam(), jointRounds, nil); err != nil {
			return err
		}
		g.Together()
	}
	sortFits(g.All)
	return nil
}

// grow adds to the beam, and to what is best then, so many levels on.
func (g *Search) grow(ctx context.Context, beam []*fit.Fit, levels int, steps func(done, of int)) error {
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
		g.add(g.FitBest(g.ideas(beam)))
		g.add(g.tryAll(g.lessOne()))
		g.add(g.tryAll(g.forRows()))
		g.add(g.tryAll(g.also()))
		beam = g.beam()
	}
	return nil
}

// beam picks what to grow from next: the best that have not been grown from.
// One that lies far below the best can't have children that count, since each
// further fault costs its prior. Of those that differ by a neighbour only,
// which have like children, two will do.
func (g *Search) beam() []*fit.Fit {
	sortFits(g.All)
	var out []*fit.Fit
	like := map[string]int{}
	for _, f := range g.All {
		if f.Score() < g.All[0].Score()-BeamWindow || len(out) == g.width() {
			break
		}
		if g.S.Large() && f.IsLight() {
			continue
		}
		if g.Scouting && len(out) == beamScouting {
			break
		}
		k := g.Coarse(f.Hypothesis)
		if f.Grown {
			like[k]++
			continue
		}
		if like[k]++; like[k] <= 2 {
			f.Grown = true
			out = append(out, f)
		}
	}
	return out
}

// Coarse names a hypothesis by where its faults lie and what they do to the
// air, not by which of the like ones they are.
func (g *Search) Coarse(h fit.Hypothesis) string {
	var parts []string
	for _, v := range h.Faults {
		s := g.Sites[v.Site]
		d := s.Duct
		if d >= 0 && len(g.S.M.Sys.Ducts[d].Children) == 0 && g.S.M.Sys.Ducts[d].Into >= 0 {
			d = g.S.M.Sys.Ducts[d].Into
		}
		parts = append(parts, fmt.Sprint(d, fault.Obstructs(s.Kind), fault.OfItsOwn(s.Kind), v.When))
	}
	for _, w := range h.Rows {
		parts = append(parts, fmt.Sprint("row", w.Observation))
	}
	sort.Strings(parts)
	return strings.Join(parts, " ")
}

// roots are the fits that the search grows from: the sound system, and, if
// rows are so far out that they would bend any fit, the sound system without them.
func (g *Search) roots(start fit.Point) []*fit.Fit {
	var out []*fit.Fit
	h, prior := g.Gross(start)
	for _, x := range []Idea{{Hypothesis: h, Prior: prior}, {}} {
		if len(out) > 0 && len(h.Rows) == 0 {
			break
		}
		x.Key = KeyOf(x.Hypothesis, g.Vid, g.Wid)
		g.Seen[x.Key] = true
		if f := g.S.Fit(x.Hypothesis, start); f.Ok() {
			for n := 0; g.S.Large() && n < soundPolished; n++ { // all else is held against it
				if g.S.Polished(f) < fit.StuckBy/4 && f.Settled() {
					break
				}
			}
			f.Prior, f.Key = x.Prior, x.Key
			out = append(out, f)
		}
	}
	return out
}

// Gross finds rows that are out by a unit, a sign or a decimal place, one
// after the other, against what the system should show before anything was read.
func (g *Search) Gross(start fit.Point) (fit.Hypothesis, float64) {
	var h fit.Hypothesis
	prior := 0.0
	for range 1 + len(g.S.Observation)/4 {
		f := g.S.Linearised(h, start)
		if !f.Ok() {
			break
		}
		best, gain := (*fit.Wrong)(nil), 10.0
		for _, x := range ScreenRows(g.S, f, g.rows, math.Inf(-1)) {
			w := x.Rows[len(x.Rows)-1]
			if w.Drop || w.Cfg >= 0 || !w.Coarse || len(x.Rows) == len(h.Rows) {
				continue
			}
			if v := x.Score - f.Score(); v > gain {
				best, gain = w, v
			}
		}
		if best == nil {
			break
		}
		// What it should have been is left open until the faults are known.
		for _, w := range g.rows {
			if w.Observation == best.Observation && w.Drop {
				best = w
			}
		}
		h.Rows = append(h.Rows, best)
		prior += math.Log(best.Prior)
	}
	return h, prior
}

// lessMost is how many of the best sets are looked at for what they don't need:
// neighbours that are alike beside a wrong row are not without it.
const lessMost = 3 * BeamWidth

// lessOne lists the best sets without one of their parts: a fault or a wrong
// row that was taken in while a large fault bent the fit may not be needed
// once that fault is there. First comes what is without all the rows that fit after
// all: a row that is far out makes the search set others aside before it finds that
// one, and they would have to be taken back one after the other.
func (g *Search) lessOne() []Idea {
	sortFits(g.All)
	var out []Idea
	for i, f := range g.All {
		if i == g.less() || f.Score() < g.All[0].Score()-BeamWindow {
			break
		}
		parts := [][]int{}
		if back := g.fitAfterAll(f); len(back) > 1 {
			parts = append(parts, back)
		}
		for k := range len(f.Faults) + len(f.Rows) {
			parts = append(parts, []int{k})
		}
		for _, p := range parts {
			x := g.without(f, p)
			if x.Key = KeyOf(x.Hypothesis, g.Vid, g.Wid); !g.Seen[x.Key] {
				g.Seen[x.Key] = true
				out = append(out, x)
			}
		}
	}
	return out
}

// also lists what else the rules of the search would try in place of the best.
func (g *Search) also() []Idea {
	if g.Also == nil {
		return nil
	}
	sortFits(g.All)
	var out []Idea
	for _, f := range g.All[:min(BeamWidth, len(g.All))] {
		for _, x := range g.Also(f) {
			if x.Key = KeyOf(x.Hypothesis, g.Vid, g.Wid); !g.Seen[x.Key] {
				g.Seen[x.Key] = true
				out = append(out, x)
			}
		}
	}
	return out
}

// fitAfterAll are the parts of f that are rows set aside, of which nothing is said to be
// wrong, though the other readings put them about where they are written.
func (g *Search) fitAfterAll(f *fit.Fit) []int {
	aside := 0
	for _, w := range f.Rows {
		if w.Drop {
			aside++
		}
	}
	if aside < 2 || g.S.Large() {
		return nil
	}
	inv := inverseDiagonal(g.S, f)
	if inv == nil {
		return nil
	}
	var out []int
	for k, w := range f.Rows {
		if i := w.Observation; w.Drop {
			off := f.Fit.Alpha.AtVec(i) / inv[i]
			v := 1/inv[i] + (g.S.BaseNoise(i)-f.Fit.Noise[i])*g.S.NoiseScale*g.S.NoiseScale
			if off*off < fitsWithin*fitsWithin*v {
				out = append(out, len(f.Faults)+k)
			}
		}
	}
	return out
}

// fitsWithin is how many standard deviations a row may lie from what the others foretell
// and still be said to fit.
const fitsWithin = 2.0

// without is f less some of its parts, in rising order, faults counted first.
func (g *Search) without(f *fit.Fit, parts []int) Idea {
	at := fit.Point{Theta: f.At.Theta, Z: slices.Clone(f.At.Z), Dual: f.At.Dual}
	x := Idea{Hypothesis: fit.Hypothesis{Faults: slices.Clone(f.Faults), Rows: slices.Clone(f.Rows)}, Prior: f.Prior, Score: f.Score()}
	for _, k := range slices.Backward(parts) {
		if n := len(f.Faults); k < n {
			v := f.Faults[k]
			x.Prior -= LogOdds(g.Sites[v.Site].Prior) + math.Log(v.Weight)
			x.Faults, at.Z = slices.Delete(x.Faults, k, k+1), slices.Delete(at.Z, k, k+1)
		} else {
			x.Prior -= math.Log(f.Rows[k-n].Prior)
			x.Rows = slices.Delete(x.Rows, k-n, k-n+1)
		}
	}
	if g.Odds != nil {
		x.Prior = g.Odds(x.Faults)
	}
	x.From = &fit.Fit{At: at}
	return x
}

func (g *Search) Best() float64 {
	b := g.All[0].Score()
	for _, f := range g.All {
		b = max(b, f.Score())
	}
	return b
}

func sortFits(f []*fit.Fit) {
	sort.SliceStable(f, func(i, j int) bool { return f[i].Score() > f[j].Score() })
}

// ideas screens the beam and returns what is new, best first.
func (g *Search) ideas(beam []*fit.Fit) []Idea {
	var out []Idea
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
	return bestFirst(out)
}

// ByScore are the places of ideas in the order of what they promise.
func ByScore(list []Idea) []int {
	by := make([]int, len(list))
	for i := range by {
		by[i] = i
	}
	slices.SortStableFunc(by, func(i, j int) int { return cmp.Compare(list[j].Score, list[i].Score) })
	return by
}

// bestFirst sorts ideas by what they promise.
func bestFirst(list []Idea) []Idea {
	out := make([]Idea, len(list))
	for k, i := range ByScore(list) {
		out[k] = list[i]
	}
	return out
}

// FitBest fits the ideas that promise most.
func (g *Search) FitBest(ideas []Idea) []*fit.Fit {
	if len(ideas) == 0 {
		return nil
	}
	// The screen is linear: the more an idea promises, the less exactly.
	top := ideas[0]
	slack := 0.2 * max(0, top.Score-top.From.Score())
	bar := max(g.Best(), top.Score) - slack
	var fit []Idea
	for _, x := range ideas {
		if len(fit) >= g.fits() || x.Score < bar-g.window(x) {
			x.Off = g.Gained(x.From)
			g.Rest = append(g.Rest, x)
			continue
		}
		fit = append(fit, x)
	}
	return g.tryAll(fit)
}

// tryAll fits ideas, and gives up on the way what will lie far below the best:
// the first few show how well the readings can be fitted.
func (g *Search) tryAll(ideas []Idea) []*fit.Fit {
	best := math.Inf(-1)
	if len(g.All) > 0 {
		best = g.Best()
	}
	few := min(len(ideas), 2*numeric.Workers)
	out := g.try(ideas[:few], best)
	for _, f := range out {
		best = max(best, f.Score())
	}
	return append(out, g.try(ideas[few:], best)...)
}

// try fits ideas with two workers, each its own share, so that the same
// ideas give the same bytes whatever the machine does meanwhile.
func (g *Search) try(ideas []Idea, best float64) []*fit.Fit {
	fits := make([]*fit.Fit, len(ideas))
	for _, x := range ideas {
		g.Seen[x.Key] = true
	}
	pool := g.Workers()
	numeric.OnEachWorker(func(w int) {
		s := pool[w]
		var heavy []*fit.Fit
		for i := w; i < len(ideas); i += numeric.Workers {
			if s.Spent() {
				break
			}
			how := fit.Settings{Floor: best - ideas[i].Prior - fit.Hopeless - g.Off, Near: ideas[i].From.Fit}
			if how.Near == nil || s.Large() && ideas[i].From.IsLight() {
				how.Near = g.Sound.Fit
			}
			start := ideas[i].From.At
			if ideas[i].start != nil {
				start = *ideas[i].start
			}
			if len(start.Z) < len(ideas[i].Faults) {
				start.Z = append(slices.Clone(start.Z), ideas[i].z)
			}
			f := s.Fit(ideas[i].Hypothesis, start, how)
			f.Prior, f.Key, f.Swap = ideas[i].Prior, ideas[i].Key, ideas[i].Swap
			f.Evidence += g.Off
			if fits[i] = f; s.Large() {
				heavy = lightenWorst(heavy, f)
			}
		}
	})
	var out []*fit.Fit
	for i, f := range fits {
		switch {
		case f == nil: // not begun: a further allowance may reach it
			delete(g.Seen, ideas[i].Key)
		case f.Ok():
			out = append(out, f)
		}
	}
	return out
}

// fits is how many hypotheses are fitted exactly at each level.
func (g *Search) fits() int {
	switch {
	case g.Scouting:
		return fitsScouting
	case g.scouted:
		return FitsALevel - fitsScouting
	case g.S.Large():
		return fitsLarge
	case g.S.Lost != nil:
		return fitsThinned
	}
	return FitsALevel
}

// Workers returns a study for each worker, with solver states of its own.
func (g *Search) Workers() []*fit.Study {
	for len(g.pool) < numeric.Workers {
		g.pool = append(g.pool, g.S.Twin())
	}
	return g.pool
}

// Exchange puts in place of each fault of the best sets those that lie next to
// it, so that what can't be told apart is all there. A fault is put in place of
// another in one set at a time: where that was hopeless it is elsewhere too.
func (g *Search) Exchange() {
	defer func() { sortFits(g.All) }()
	poor, beside := map[[2]int]bool{}, 1
	if slices.ContainsFunc(g.Sites, func(s *fault.Site) bool { return s.Kind == fault.Altered }) {
		beside = 2 // or what may have changed crowds out the neighbours of several faults
	}
	for range g.rounds() {
		sortFits(g.All)
		best := g.All[0].Score()
		var ideas []Idea
		for _, f := range g.All {
			if f.Score() < best-ExchangeWindow || len(ideas) > 4*beside*g.fits() {
				break
			}
			ideas = append(ideas, g.Exchanges(f, poor)...)
		}
		var fit []Idea
		now := map[[2]int]bool{}
		for _, x := range bestFirst(ideas) {
			if !g.Seen[x.Key] && !now[x.Swap] && x.Score >= best-ExchangeWindow && len(fit) < beside*g.swaps() {
				g.Seen[x.Key], now[x.Swap] = true, true
				fit = append(fit, x)
			}
		}
		if len(fit) == 0 {
			return
		}
		g.add(g.tryAll(fit))
		for _, x := range fit {
			poor[x.Swap] = true
		}
		for _, f := range g.All {
			delete(poor, f.Swap)
		}
	}
}

// exchangeRounds is how often faults are put in place of others.
const exchangeRounds = 3

// ExchangeWindow is how far below the best a set may lie, in nats, to be worth an exchange.
const ExchangeWindow = 3.5

// Exchanges lists f with one fault replaced by a neighbour, at its score apart from the priors.
func (g *Search) Exchanges(f *fit.Fit, poor map[[2]int]bool) []Idea {
	var out []Idea
	used := map[int]bool{}
	for _, v := range f.Faults {
		used[v.Site] = true
	}
	for k, v := range f.Faults {
		a := g.Sites[v.Site]
		if a.Kind == fault.FanWeak || a.Kind == fault.FilterLoaded {
			continue
		}
		for si, b := range g.Sites {
			if used[si] && si != v.Site || !fault.Exchangeable(g.S.M.Sys, a, b) {
				continue
			}
			for _, w := range b.Variants {
				swap := [2]int{g.Vid[v], g.Vid[w]}
				if w == v || poor[swap] || w.Kind == fault.Altered && w.Usual().Mean < 0 {
					continue
				}
				faults := append([]*fault.Variant(nil), f.Faults...)
				faults[k] = w
				prior := f.Prior - LogOdds(a.Prior) - math.Log(v.Weight) + LogOdds(b.Prior) + math.Log(w.Weight)
				x := Idea{Hypothesis: fit.Hypothesis{Faults: faults, Rows: f.Rows}, Prior: prior, Score: f.Evidence + prior, From: f, Swap: swap}
				x.From = &fit.Fit{At: f.At.Clone()}
				x.From.At.Z[k] = w.Usual().Mean
				if a.Kind == b.Kind {
					x.From.At.Z[k] = f.At.Z[k]
				}
				x.Key = KeyOf(x.Hypothesis, g.Vid, g.Wid)
				if !g.Seen[x.Key] {
					out = append(out, x)
				}
			}
		}
	}
	return out
}
