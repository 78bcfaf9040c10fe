package weigh

import (
	"math"
	"sort"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/internal/settings"
)

// Posterior is the search's hypotheses with their probabilities.
type Posterior struct {
	G        *search.Search
	Sets     []*fit.Fit
	Weight   []float64 // of sets
	Rest     []float64 // of those that were only screened
	Unlisted float64
	Setup    []doubt.DataError // what the unlisted may be
	Asked    []fault.Doubt     // doubts about the baselines
	Site     []float64         // probability of each site
	Row      map[int]float64   // observation → probability that its row is wrong
	Whole    *WholeSurvey      // of a thinned survey
	told     [numeric.Workers][]*Conditioner
	small    *[]SmallPort // once worked out
	total    float64      // log of what all sets weigh
	Lead     *World       // of several worlds: the likeliest, which this is; nil: as written, and no other
	Others   []*World     // the others
	own      *World       // and the one as written, of all
	Earlier  *Earlier     // what is known without the survey; nil: the page alone
}

// Earlier is what page and baselines say of the shared parameters.
type Earlier struct {
	U      *asbuilt.Unknowns
	L      fit.Layout
	Shared fit.Prior
}

// World is a search in the inputs as a mistake turns them, or as they were written.
type World struct {
	R        *doubt.Mistake // nil: as written
	p        *Posterior
	X        *doubt.Setup
	Shared   fit.Prior // of the parameters, by its baselines
	score    float64   // log of what all its sets weigh, its prior counted
	off      float64   // what is in that beside their scores
	weight   float64   // of all probability
	unlisted float64   // of the world as written: the share of what is not on the list
	site     []int     // of each place in the leading world, where it stands in this; -1: nowhere
}

// SmallPort is a drop that is too small even without a fault.
type SmallPort struct {
	Port, Duct  int
	Probability float64
	Diameter    fault.Interval // that would do
	Use         settings.Setting
	Flow        numeric.Mixture // what the port gets there, its faults taken away, m³/s
}

// PosteriorOf turns evidences into probabilities. other is the log evidence of
// something that is not on the list.
func PosteriorOf(g *search.Search, other float64) *Posterior {
	p := &Posterior{G: g, Sets: g.All, Row: map[int]float64{}, Site: make([]float64, len(g.Sites))}
	best := math.Max(g.Best(), other+math.Log(doubt.UnlistedPrior))
	var total float64
	for _, f := range g.All {
		w := math.Exp(f.Score() - best)
		if guessed(g, f.Hypothesis) {
			w = 0
		}
		p.Weight = append(p.Weight, w)
		total += w
	}
	p.Unlisted = math.Exp(other + math.Log(doubt.UnlistedPrior) - best)
	total += p.Unlisted
	rest := make([]float64, len(g.Rest))
	for i, x := range onceEach(g.Rest) {
		if x == nil || g.Seen[x.Key] || guessed(g, x.Hypothesis) {
			continue
		}
		rest[i] = math.Exp(math.Min(x.Score-best, -ScreenedMost) - ScreenedLess)
		total += rest[i]
	}
	for i := range p.Weight {
		p.Weight[i] /= total
		p.count(p.Sets[i].Hypothesis, p.Weight[i])
	}
	for i, x := range g.Rest {
		if rest[i] > 0 {
			rest[i] /= total
			p.count(x.Hypothesis, rest[i])
		}
	}
	p.Rest = rest
	p.Unlisted /= total
	p.total = best + math.Log(total)
	return p
}

// guessed says that a set has faults, takes every reading for wrong, and puts another
// value in the place of one: what speaks for its faults is then its own guess.
func guessed(g *search.Search, h fit.Hypothesis) bool {
	if !fault.Broken(h.Faults) || len(h.Rows) == 0 {
		return false
	}
	wrong, put := map[int]bool{}, false
	for _, w := range h.Rows {
		wrong[w.Observation] = true
		put = put || !w.Drop
	}
	return put && len(wrong) == len(g.S.Observation)
}

// What was screened and not fitted counts e less than it promises, and no more
// than e² less than the best. Own choice, nats.
const (
	ScreenedLess = 1.0
	ScreenedMost = 2.0
)

// onceEach are the ideas by their places in the list, each at its best score
// only: one may have been screened from several parents. The others are nil.
func onceEach(list []screen.Idea) []*screen.Idea {
	out := make([]*screen.Idea, len(list))
	at := map[string]int{}
	for i := range list {
		x := &list[i]
		if k, ok := at[x.Key]; ok {
			if x.Score <= out[k].Score {
				continue
			}
			out[k] = nil
		}
		at[x.Key], out[i] = i, x
	}
	return out
}

func (p *Posterior) count(h fit.Hypothesis, w float64) {
	seen := map[int]bool{}
	for _, v := range h.Faults {
		if !seen[v.Site] {
			p.Site[v.Site] += w
			seen[v.Site] = true
		}
	}
	for _, r := range h.Rows {
		p.Row[r.Observation] += w
	}
}

// SetRowsAside fits the leading sets again with their wrong rows left out, so
// that severities and flows are as if those rows were not there. The
// probabilities stay: how well the rows fit otherwise is part of them.
func (p *Posterior) SetRowsAside() {
	s := p.G.S
	for i, f := range p.Sets {
		if p.Weight[i] < LeadingLeast || len(f.Rows) == 0 {
			continue
		}
		aside := fit.Hypothesis{Faults: f.Faults}
		changed := false
		for _, w := range f.Rows {
			changed = changed || !w.Drop
			aside.Rows = append(aside.Rows, &fit.Wrong{Observation: w.Observation, Drop: true, Cfg: -1})
		}
		if !changed {
			continue
		}
		if x := s.Fit(aside, f.At); x.Ok() {
			f.At, f.Fit = x.At, x.Fit
		}
	}
}

// LeadingLeast is the probability below which a set is not worth that.
const LeadingLeast = 0.01

// Sound is the probability that no fault is present.
func (p *Posterior) Sound() float64 {
	if p.Lead != nil {
		return p.Lead.over(func(w *World) float64 { return w.p.soundAlone() }, p.Others)
	}
	return p.soundAlone()
}

// soundAlone is the same in its own world.
func (p *Posterior) soundAlone() float64 {
	var w float64
	for i, f := range p.Sets {
		if !fault.Broken(f.Faults) {
			w += p.Weight[i]
		}
	}
	for i, x := range p.G.Rest {
		if !fault.Broken(x.Faults) {
			w += p.Rest[i]
		}
	}
	return w
}

// over is a probability over this world and others.
func (w *World) over(of func(w *World) float64, others []*World) float64 {
	sum := w.weight * of(w)
	for _, o := range others {
		sum += o.weight * of(o)
	}
	return sum
}

// SeverityOf is the severity of a site with its 90 % interval, over the sets that hold it.
func (p *Posterior) SeverityOf(site int) fault.Interval {
	var mix numeric.Mixture
	var v *fault.Variant
	for i, f := range p.Sets {
		for k, x := range f.Faults {
			if x.Site != site || p.Weight[i] < 1e-6 {
				continue
			}
			v = x
			z, sd := p.G.S.SeverityAt(f, k)
			mix.Add(p.Weight[i], z, sd)
		}
	}
	if v == nil {
		return fault.Interval{}
	}
	a, b, c := v.Severity(mix.Quantile(0.05)), v.Severity(mix.Quantile(0.5)), v.Severity(mix.Quantile(0.95))
	return fault.Interval{Value: b, Low: math.Min(a, c), High: math.Max(a, c)}
}

// Order of the sites that may be broken by probability, ties by list order.
func (p *Posterior) Order() []int {
	var ix []int
	for i := range p.Site {
		if p.G.Sites[i].Kind != fault.Altered {
			ix = append(ix, i)
		}
	}
	sort.SliceStable(ix, func(a, b int) bool { return p.Site[ix[a]] > p.Site[ix[b]] })
	return ix
}
