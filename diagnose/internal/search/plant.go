package search

import (
	"context"
	"math"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/branch"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/screen"
)

// SearchPlant searches a large survey: with all its readings, or, of very many, with
// those next to what promises and others evenly, which is what the probabilities come from. What is found is then
// fitted to the readings that tell of it, which is what severities, flows and
// the readings to take next are worked out with. If ctx ends first, what was found
// by then comes with its error.
func SearchPlant(ctx context.Context, setup func(*observe.Bound) *fit.Study, all *observe.Bound, ss []*fault.Site, steps func(done, of int)) (*Search, *observe.Bound, []bool, error) {
	b := all
	s := setup(b)
	rows, use := s.Slim()
	if rows == nil {
		return nil, nil, nil, s.Failed
	}
	near := guess(s, setup, b, rows, use)
	if len(b.Observation) > fit.ThinLinear {
		b = b.Only(thinnedTo(s, promising(s, ss, near), fit.ThinLinear))
		s = setup(b)
		if rows, use = s.Slim(); rows == nil {
			return nil, nil, nil, s.Failed
		}
		near = guess(s, setup, b, rows, use)
	}
	whole, err := SearchFrom(ctx, s, ss, nil, From{Near: near}, steps)
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return whole, b, nil, err
	}
	whole.polishLeaders(polishedWindow, polishedMost)
	few, fewUse, g := whole.thin(setup, b, rows, use)
	if ctx.Err() != nil { // not all was carried over
		return whole, b, nil, ctx.Err()
	}
	return g, few, fewUse, nil
}

// guess is where the sound system lies by evenly many of the readings: from
// there on few steps are left with all of them. Nil if they can't be fitted.
func guess(s *fit.Study, setup func(*observe.Bound) *fit.Study, b *observe.Bound, rows *branch.Rows, use []bool) *fit.Point {
	keep := numeric.Evenly(len(b.Observation), fit.ThinAbove)
	t := setup(b.Only(keep))
	few := t.Uses(rows, keep)
	t.Reduce(few)
	f := t.Fit(fit.Hypothesis{}, t.Before())
	if !f.Ok() {
		return nil
	}
	p := s.Before()
	p.Dual = make([]float64, len(p.Theta))
	for k, x := range carriedTo(use, few) {
		if x < 0 {
			continue
		}
		p.Theta[x] = f.At.Theta[k]
		if f.At.Dual != nil {
			p.Dual[x] = f.At.Dual[k]
		}
	}
	return &p
}

// thin carries what was found over to the readings that tell of it. Its
// evidence stays that of all readings.
func (g *Search) thin(setup func(*observe.Bound) *fit.Study, b *observe.Bound, rows *branch.Rows, use []bool) (*observe.Bound, []bool, *Search) {
	keep := g.keep(b)
	few := b.Only(keep)
	t := setup(few)
	fewUse := t.Uses(rows, keep)
	at := carriedTo(use, fewUse)
	t.Reduce(fewUse)
	t.PriorScale, t.NoiseScale, t.Stop = g.S.PriorScale, g.S.NoiseScale, g.S.Stop
	place := map[int]int{}
	for k, i := range keep {
		place[i] = k
	}
	wrong := WrongRows(t)
	for _, w := range wrong {
		w.Prior *= keptShare(t)
	}
	n := NewSearch(t, g.Sites, wrong)
	n.scale, n.Tells = g.scale, g.Tells
	n.carry(g, place, at)
	if b.Kept != nil {
		for k, i := range keep {
			few.Kept[k] = b.Kept[i]
		}
	}
	return few, fewUse, n
}

// carriedTo says which parameter of the search with all readings each one of the
// search with few is, -1 where there is none.
func carriedTo(use, few []bool) []int {
	var out []int
	k := 0
	for x := range few {
		from := -1
		if use[x] {
			from = k
			k++
		}
		if few[x] {
			out = append(out, from)
		}
	}
	return out
}

// carry fits the leading explanations of g to the readings kept.
func (n *Search) carry(g *Search, place map[int]int, at []int) {
	sortFits(g.All)
	list := []*fit.Fit{g.Sound}
	for _, f := range g.All {
		if f.Score() < g.Best()-carryWindow || len(list) > carryMost {
			break
		}
		if f != g.Sound {
			list = append(list, f)
		}
	}
	now := map[*fit.Fit]*fit.Fit{}
	var lead *fit.Fit
	for _, f := range list {
		h, ok := moved(f.Hypothesis, place)
		if !ok && f != g.Sound { // the sound system goes without a row that was not kept
			continue
		}
		for _, w := range h.Rows {
			n.Wid[w] = len(n.Wid)
		}
		x := n.S.Fit(h, startOf(f, at))
		if !x.Ok() && f == g.Sound { // far off, it may not come on from there; nothing goes without it
			x = n.S.Afresh(h)
		}
		if !x.Ok() {
			continue
		}
		x.Prior, x.Key = f.Prior, screen.KeyOf(h, n.Vid, n.Wid)
		n.Seen[x.Key] = true
		n.All, now[f] = append(n.All, x), x
		if f == g.Sound {
			n.Sound = x
		}
		if lead == nil || f.Score() > lead.Score() {
			lead = f
		}
	}
	if lead == nil {
		return
	}
	// Others are compared by what they are on all readings; the leader stands for
	// all of them beside what is fitted to the readings kept alone.
	n.S.Polished(now[lead])
	if now[lead] != n.Sound {
		n.S.Polished(n.Sound)
	}
	shift := now[lead].Evidence - lead.Evidence
	alone := func(f *fit.Fit) *fit.Fit { return &fit.Fit{Hypothesis: f.Hypothesis, At: f.At} }
	n.Whole = &Whole{S: g.S, Sound: alone(g.Sound), Lead: alone(lead), Shift: shift, Raised: g.Sound.Evidence + shift - n.Sound.Evidence}
	for f, x := range now {
		x.Evidence = f.Evidence + shift
	}
	for _, f := range g.All {
		if now[f] == nil {
			n.leave(f, place, shift)
		}
	}
	for _, x := range g.Rest {
		n.leaveIdea(x, now, place, shift)
	}
	sortFits(n.All)
}

// startOf is where the fit of an explanation stood, in the parameters kept.
func startOf(f *fit.Fit, at []int) fit.Point {
	p := fit.Point{Theta: make([]float64, len(at)), Z: append([]float64(nil), f.At.Z...)}
	for k, x := range at {
		if x >= 0 {
			p.Theta[k] = f.At.Theta[x]
		}
	}
	return p
}

// moved is a hypothesis with the rows where they are among those kept; false if
// one of them is not, and the rest.
func moved(h fit.Hypothesis, place map[int]int) (fit.Hypothesis, bool) {
	out, all := fit.Hypothesis{Faults: h.Faults}, true
	for _, w := range h.Rows {
		k, ok := place[w.Observation]
		if !ok {
			all = false
			continue
		}
		c := *w
		c.Observation = k
		out.Rows = append(out.Rows, &c)
	}
	return out, all
}

// leave takes a set that is not carried over as one that was only screened.
func (n *Search) leave(f *fit.Fit, place map[int]int, shift float64) {
	if h, ok := moved(f.Hypothesis, place); ok && !math.IsInf(f.Score(), 0) {
		n.Rest = append(n.Rest, screen.Idea{Hypothesis: h, Score: f.Score() + shift, Prior: f.Prior, Key: "left " + f.Key})
	}
}

func (n *Search) leaveIdea(x screen.Idea, now map[*fit.Fit]*fit.Fit, place map[int]int, shift float64) {
	h, ok := moved(x.Hypothesis, place)
	if !ok {
		return
	}
	from := now[x.From]
	if from == nil {
		c := *x.From
		c.Evidence += shift
		c.Fit = nil // it is of the readings that were not kept as well
		from = &c
	}
	x.Hypothesis, x.Score, x.From, x.Key = h, x.Score+shift, from, "all "+x.Key
	n.Rest = append(n.Rest, x)
}

// keep picks the readings that tell of what was found: those of the rows and
// faults of the leading explanations, those that are out by themselves, what is
// read at the collector, and others evenly.
func (g *Search) keep(b *observe.Bound) []int {
	s := g.S
	kept := make([]bool, len(s.Observation))
	sortFits(g.All)
	for n, f := range g.All {
		if n > carryMost || f.Score() < g.Best()-carryWindow {
			break
		}
		for _, w := range f.Rows {
			kept[w.Observation] = true
		}
		if f.Fit == nil || f.Fit.Jz == nil {
			continue
		}
		for k := range f.Faults {
			screen.KeepFor(s, f.Fit.Jz, k, kept)
		}
	}
	return screen.Fill(s, kept)
}
