package weigh

import (
	"cmp"
	"context"
	"math"
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
)

// Weigh searches what was written down, and what it would be without the
// mistakes that are worth it. It returns the posterior of the likeliest world,
// with the others beside it. first searches what was written, and finish makes a
// posterior of that. If ctx ends first, the posterior of what was found by then
// comes with its error; nil if nothing was.
func Weigh(ctx context.Context, first func(search.From) (*search.Search, error), x *doubt.Setup, k *search.Learned,
	finish func(g *search.Search) *Posterior, steps func(done, of int)) (*Posterior, error) {
	var list []*doubt.Mistake
	looked, cut := false, false
	from := search.From{Enough: func(g *search.Search) bool {
		list, looked = doubt.Chosen(g, x.Mistakes(g, k), k), true
		cut = slices.ContainsFunc(list, func(r *doubt.Mistake) bool {
			return r.Sure || r.Promise > g.Best()-g.Off+mistakeClear
		})
		return cut
	}}
	g, err := first(from)
	if err != nil {
		return soFar(g), err
	}
	if !looked { // a large survey is not searched in two rounds
		list = doubt.Chosen(g, x.Mistakes(g, k), k)
	}
	as := finish(g)
	own := &World{p: as, X: x, Shared: k.Shared, score: as.total}
	all, top := []*World{own}, own.score
	for _, r := range list {
		w, err := worldOf(ctx, x, g, k, r, own, top)
		if err == nil {
			err = ctx.Err()
		}
		if err != nil {
			return as, err
		}
		if w != nil && w.score > top-mistakeForgotten {
			all, top = append(all, w), max(top, w.score)
		}
	}
	if w, err := faultyBaseline(ctx, x, g.Sites, k); err != nil {
		return as, err
	} else if w != nil && w.score > top-mistakeForgotten {
		all = append(all, w)
	}
	if cut && top < own.score+worldWindow { // no mistake was as good as it promised
		if g, err = first(search.From{}); err != nil {
			return as, err
		}
		own.p = finish(g)
		own.score = own.p.total
	}
	scores := make([]float64, len(all))
	for i, w := range all {
		scores[i] = w.score
	}
	total := numeric.LogSumExp(scores)
	for _, w := range all {
		w.weight = math.Exp(w.score - total)
	}
	slices.SortStableFunc(all, func(a, b *World) int { return cmp.Compare(b.weight, a.weight) })
	if own.p.Whole != nil {
		// The readings left out are held against a result in what was written: a
		// world of a mistake has other parameters than their study.
		i := slices.Index(all, own)
		all = slices.Insert(slices.Delete(all, i, i+1), 0, own)
	}
	p := all[0].p
	if len(all) > 1 {
		p.mix(all, own)
	}
	return p, nil
}

// soFar is the posterior of a search that did not end; nil if it found nothing.
func soFar(g *search.Search) *Posterior {
	if g == nil {
		return nil
	}
	return PosteriorOf(g, math.Inf(-1))
}

const (
	mistakeClear = 12.0 // nats by which a mistake must promise more than all that was found for no more to be looked for beside it
	beginWindow  = 1.0  // nats below the best that a mistake may promise and be looked at under what the search ended under
	worldHopeful = 2.5  // nats below the best within which the first fits of a world lie that is searched
	worldGain    = 6.0  // nats that a sound system gains in a world that is searched for that
	worldWindow  = 4.0  // nats below the best within which a world is searched in full
)

// mistakeForgotten is how far below the written world, in nats, another weighs nothing.
const mistakeForgotten = 12.0

// worldOf is the diagnosis of the inputs as a mistake turns them; nil if there is none.
func worldOf(ctx context.Context, x *doubt.Setup, g *search.Search, k *search.Learned, r *doubt.Mistake, own *World, top float64) (*World, error) {
	in := doubt.Inputs{Sys: x.M.Sys, Survey: x.Survey.Survey}
	for _, b := range x.Bases {
		in.Bases = append(in.Bases, b.Survey)
	}
	r.Turn(&in, r.Times)
	y, j, err := turned(ctx, x, g, k, in)
	if y == nil || err != nil {
		return nil, err
	}
	s := fit.NewStudy(y.M, j.U, j.L, y.Survey, j.Shared)
	var under *search.Scale
	if g.S.Lost != nil { // the factors of a large survey come from all of it
		s.Slim()
		k := g.Under()
		under = &k
	}
	if r.Loosen != nil {
		r.Loosen(s)
	}
	ss := g.Sites
	if y.M != x.M {
		ss = WithPlugs(Places(y.M, len(y.Bases) > 0, y.Job), y.M, y.Survey)
		forget(ss, x.M)
	}
	var jt *search.Joint
	if y.Survey.Kept == nil {
		jt = search.NewJoint(y.M, j.U, j.L, y.Survey, j.Last, j.Before)
	}
	if jt != nil && r.Loosen != nil {
		r.Loosen(jt.P.S[1])
	}
	off := math.Log(r.Prior) + r.Log + volume(r)
	if len(y.Bases) > 0 { // else the baselines are as probable as they were
		off += j.Score - k.Score
	}
	c := own.score - carriedScore(g)
	var all *fit.Study // of a large survey: with all readings
	more := 0.0        // by how much what was found with those kept weighs more on all
	hopeful := func(n *search.Search, top float64) bool {
		return r.Sure || n.Best()+more+off+g.Off+c > top-worldHopeful ||
			r.ByPage && n.Sound.Score()+more+off > g.Sound.Score()+worldGain && mostBeside(g, r) > top-worldHopeful
	}
	from := search.From{
		Found: func(n *search.Search) []screen.Idea { return carriedTo(g, n) },
		Worth: func(n *search.Search) bool {
			if g.Whole == nil {
				return hopeful(n, top)
			}
			if !hopeful(n, own.score) {
				return false
			}
			all = wholeWorld(y.M, in.Survey, j, r, g)
			more = onAll(all, g, n, r)
			return hopeful(n, top)
		},
		Enough: func(n *search.Search) bool { return n.Best()+off < top-worldWindow },
		Brief:  true,
		Under:  under,
	}
	h, err := search.SearchFrom(ctx, s, ss, jt, from, nil)
	if k := g.Under(); err == nil && h.Dropped() && under == nil && k != (search.Scale{Spread: 1, Fresh: 1}) && r.Promise > g.Best()-g.Off-beginWindow {
		// It may not be what the wider spreads or errors were for.
		from.Begin = &k
		h, err = search.SearchFrom(ctx, s, ss, jt, from, nil)
	}
	if err != nil || len(h.All) == 0 {
		return nil, nil // there is no such system
	}
	switch {
	case h.Dropped():
		off += g.Off + c
	case all != nil:
		more = onAll(all, g, h, r)
	}
	off += more
	p := PosteriorOf(h, math.Inf(-1))
	w := &World{R: r, p: p, X: y, Shared: j.Shared, off: off, score: p.total + off}
	return w, nil
}

// mostBeside is the most that a mistake and one fault that was not found beside it
// can weigh: they fit the readings no better than readings can be fitted.
func mostBeside(g *search.Search, r *doubt.Mistake) float64 {
	f := slices.MaxFunc(g.All, func(a, b *fit.Fit) int { return cmp.Compare(a.Score(), b.Score()) })
	if f.Fit == nil {
		return math.Inf(1)
	}
	one := math.Inf(-1)
	for _, s := range g.Sites {
		if s.Prior > 0 {
			one = max(one, screen.LogOdds(s.Prior))
		}
	}
	worse := max(0, f.Fit.Quad-float64(len(g.S.Observation))) / 2
	return f.Evidence + worse + math.Log(r.Prior) + r.Log + one
}

// volume is the log of the share of a mistake's prior that the readings leave,
// where it was searched at its likeliest amount only.
func volume(r *doubt.Mistake) float64 {
	if r.Spread == 0 || r.Loosen != nil {
		return 0
	}
	z := r.Times / r.Spread
	return -z*z/2 + math.Log(r.Sd/r.Spread)
}

// turned binds what was turned and learns its baselines again where they changed.
func turned(ctx context.Context, x *doubt.Setup, g *search.Search, k *search.Learned, in doubt.Inputs) (*doubt.Setup, *search.Learned, error) {
	y := &doubt.Setup{M: x.M, Job: x.Job}
	if in.Sys != x.M.Sys {
		m, err := airflow.New(in.Sys, airflow.Options{})
		if err != nil {
			return nil, nil, nil
		}
		y.M = m
	}
	b, bad := observe.Bind(y.M, in.Survey)
	if bad.Err() != nil {
		return nil, nil, nil
	}
	if x.Survey.Kept != nil {
		b = b.Only(x.Survey.Kept)
	}
	y.Survey = b
	alsoIn(b, x.Survey)
	same := y.M == x.M && len(in.Bases) == len(x.Bases)
	for i, s := range in.Bases {
		if same = same && s == x.Bases[i].Survey; same {
			y.Bases = append(y.Bases, x.Bases[i])
			continue
		}
		c, bad := observe.Bind(y.M, s)
		if bad.Err() != nil {
			return nil, nil, nil
		}
		y.Bases = append(y.Bases, c)
	}
	j := k
	if !same || !slices.Equal(b.Taps, x.Survey.Taps) {
		var err error
		if j, err = search.LearnBases(ctx, y.M, b, y.Bases); err != nil {
			return nil, nil, nil // there is no such system
		}
	}
	y.U, y.L = j.U, j.L
	return y, j, nil
}

// alsoIn adds the settings of the gates of another binding that this one lacks.
func alsoIn(b *observe.Bound, o *observe.Bound) {
	for _, c := range o.Configs {
		has := slices.ContainsFunc(b.Configs, func(d observe.Gates) bool {
			return c.Open.String() == d.Open.String() && slices.Equal(c.HoseOff, d.HoseOff)
		})
		if !has && len(c.Config.Open) == len(b.Configs[0].Config.Open) {
			b.Configs = append(b.Configs, c)
		}
	}
}

// forget takes the faults of what a mistake has added from the list.
func forget(ss []*fault.Site, m *airflow.Model) {
	for _, s := range ss {
		_, gate := m.GateIndex(s.Where)
		_, d := m.Sys.DuctNamed(s.Where)
		_, port := m.Sys.PortNamed(s.Where)
		if !gate && !d && !port && s.Duct >= 0 {
			s.Prior = 0
		}
	}
}

// carried are the leading sets of a search that are tried in another world.
func carried(g *search.Search) []*fit.Fit {
	var out []*fit.Fit
	for _, f := range g.All {
		if f.Score() < g.Best()-doubt.BasesWindow || len(out) == carriedMost {
			break
		}
		if len(f.Faults)+len(f.Rows) > 0 {
			out = append(out, f)
		}
	}
	return out
}

// carriedScore is the log of what the sound system and the sets carried weigh.
func carriedScore(g *search.Search) float64 {
	list := []*fit.Fit{g.Sound}
	for _, f := range carried(g) {
		if f != g.Sound {
			list = append(list, f)
		}
	}
	return totalOf(list)
}

// carriedTo are they as ideas of a search in another world: without their wrong
// rows, which the mistake may explain, and with them.
func carriedTo(g, n *search.Search) []screen.Idea {
	var out []screen.Idea
	seen := map[string]bool{}
	for _, f := range append(carried(g), doubt.LessOne(g)...) {
		var h fit.Hypothesis
		for _, v := range f.Faults {
			if c := like(n, g.Sites[v.Site], v); c != nil {
				h.Faults = append(h.Faults, c)
			}
		}
		if len(h.Faults) != len(f.Faults) {
			continue
		}
		for _, rows := range [][]*fit.Wrong{nil, rowsIn(g, n, f.Rows)} {
			x := screen.Idea{Hypothesis: fit.Hypothesis{Faults: h.Faults, Rows: rows}, Prior: doubt.PriorOf(n, h.Faults)}
			for _, w := range rows {
				x.Prior += math.Log(w.Prior)
			}
			x.Key = screen.KeyOf(x.Hypothesis, n.Vid, n.Wid)
			if seen[x.Key] || len(x.Faults)+len(x.Rows) == 0 {
				continue
			}
			seen[x.Key] = true
			at := n.S.Before()
			at.Z = slices.Clone(f.At.Z)
			x.From = &fit.Fit{At: at}
			out = append(out, x)
		}
	}
	return out
}

// rowsIn are wrong rows of one search in another; nil if they aren't all there.
func rowsIn(g, n *search.Search, rows []*fit.Wrong) []*fit.Wrong {
	if len(n.S.Observation) != len(g.S.Observation) {
		return nil
	}
	var out []*fit.Wrong
	for _, w := range rows {
		o := n.RowLike(w)
		if o == nil {
			return nil
		}
		out = append(out, o)
	}
	return out
}

// carriedMost is how many leading sets are tried in another world.
const carriedMost = 4

// like is the variant of a search that stands where one of another does; nil if none.
func like(g *search.Search, s *fault.Site, v *fault.Variant) *fault.Variant {
	at := slices.Index(s.Variants, v)
	for _, o := range g.Sites {
		if o.Kind == s.Kind && o.Where == s.Where && o.Prior > 0 {
			return o.Variants[min(at, len(o.Variants)-1)]
		}
	}
	return nil
}

// mix makes a posterior that of several worlds, it being the likeliest.
func (p *Posterior) mix(all []*World, own *World) {
	p.Lead, p.Others, p.own = all[0], all[1:], own
	own.unlisted = own.p.Unlisted
	p.Unlisted = own.weight * own.unlisted
	p.Setup, p.Asked, p.Whole = own.p.Setup, own.p.Asked, own.p.Whole
	for i := range p.Site {
		p.Site[i] *= p.Lead.weight
	}
	for _, i := range sortedKeys(p.Row) {
		p.Row[i] *= p.Lead.weight
	}
	for _, w := range p.Others {
		w.site = make([]int, len(p.Site))
		for i, s := range p.G.Sites {
			w.site[i] = -1
			for k, o := range w.p.G.Sites {
				if o.Kind == s.Kind && o.Where == s.Where {
					w.site[i] = k
					p.Site[i] += w.weight * w.p.Site[k]
					break
				}
			}
		}
		for _, i := range sortedKeys(w.p.Row) {
			p.Row[i] += w.weight * w.p.Row[i]
		}
	}
}

func sortedKeys(m map[int]float64) []int {
	var out []int
	for i := range m {
		out = append(out, i)
	}
	slices.Sort(out)
	return out
}

// AsBound is the survey as it was written.
func (p *Posterior) AsBound() *observe.Bound {
	if p.own != nil {
		return p.own.X.Survey
	}
	return p.G.S.B
}
