package diagnose

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"lostair/diagnose/airflow"
)

// posterior is the search's hypotheses with their probabilities.
type posterior struct {
	g        *search
	sets     []*fitted
	weight   []float64 // of sets
	rest     []float64 // of those that were only screened
	unlisted float64
	given    []misgiven      // what the unlisted may be
	asked    []string        // doubts about the baselines
	site     []float64       // probability of each site
	row      map[int]float64 // observation → probability that its row is wrong
	whole    *wholeSurvey    // of a thinned survey
	told     [workers][]*teller
}

// unlistedPrior is the prior probability of something that is not on the list.
const unlistedPrior = 0.02

// posteriorOf turns evidences into probabilities. other is the log evidence of
// something that is not on the list.
func posteriorOf(g *search, other float64) *posterior {
	p := &posterior{g: g, sets: g.all, row: map[int]float64{}, site: make([]float64, len(g.sites))}
	best := math.Max(g.best(), other+math.Log(unlistedPrior))
	var total float64
	for _, f := range g.all {
		w := math.Exp(f.score() - best)
		p.weight = append(p.weight, w)
		total += w
	}
	p.unlisted = math.Exp(other + math.Log(unlistedPrior) - best)
	total += p.unlisted
	rest := make([]float64, len(g.rest))
	for i, x := range onceEach(g.rest) {
		if x == nil || g.seen[x.key] {
			continue
		}
		rest[i] = math.Exp(math.Min(x.score-best, -2) - 1)
		total += rest[i]
	}
	for i := range p.weight {
		p.weight[i] /= total
		p.count(p.sets[i].hypothesis, p.weight[i])
	}
	for i, x := range g.rest {
		if rest[i] > 0 {
			rest[i] /= total
			p.count(x.hypothesis, rest[i])
		}
	}
	p.rest = rest
	p.unlisted /= total
	return p
}

// onceEach are the ideas by their places in the list, each at its best score
// only: one may have been screened from several parents. The others are nil.
func onceEach(list []idea) []*idea {
	out := make([]*idea, len(list))
	at := map[string]int{}
	for i := range list {
		x := &list[i]
		if k, ok := at[x.key]; ok {
			if x.score <= out[k].score {
				continue
			}
			out[k] = nil
		}
		at[x.key], out[i] = i, x
	}
	return out
}

func (p *posterior) count(h hypothesis, w float64) {
	seen := map[int]bool{}
	for _, v := range h.faults {
		if !seen[v.site] {
			p.site[v.site] += w
			seen[v.site] = true
		}
	}
	for _, r := range h.rows {
		p.row[r.obs] += w
	}
}

// setRowsAside fits the leading sets again with their wrong rows left out, so
// that severities and flows are as if those rows were not there. The
// probabilities stay: how well the rows fit otherwise is part of them.
func (p *posterior) setRowsAside() {
	s := p.g.s
	for i, f := range p.sets {
		if p.weight[i] < leadingLeast || len(f.rows) == 0 {
			continue
		}
		aside := hypothesis{faults: f.faults}
		changed := false
		for _, w := range f.rows {
			changed = changed || !w.drop
			aside.rows = append(aside.rows, &wrong{obs: w.obs, drop: true, cfg: -1})
		}
		if !changed {
			continue
		}
		if x := s.fit(aside, f.at); x.ok {
			f.at, f.fit = x.at, x.fit
		}
	}
}

// leadingLeast is the probability below which a set is not worth that.
const leadingLeast = 0.01

// sound is the probability that no fault is present.
func (p *posterior) sound() float64 {
	var w float64
	for i, f := range p.sets {
		if len(f.faults) == 0 {
			w += p.weight[i]
		}
	}
	for i, x := range p.g.rest {
		if len(x.faults) == 0 {
			w += p.rest[i]
		}
	}
	return w
}

// normalMix is a mixture of normals; quantiles come by bisection.
type normalMix struct{ w, mean, sd []float64 }

func (n *normalMix) add(w, mean, sd float64) {
	n.w, n.mean, n.sd = append(n.w, w), append(n.mean, mean), append(n.sd, math.Max(sd, 1e-12))
}

func (n *normalMix) cdf(x float64) float64 {
	var s, t float64
	for i, w := range n.w {
		s += w * distuv.UnitNormal.CDF((x-n.mean[i])/n.sd[i])
		t += w
	}
	return s / t
}

func (n *normalMix) quantile(q float64) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range n.w {
		lo, hi = math.Min(lo, n.mean[i]-8*n.sd[i]), math.Max(hi, n.mean[i]+8*n.sd[i])
	}
	for range 60 {
		m := (lo + hi) / 2
		if n.cdf(m) < q {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}

// severityOf is the severity of a site with its 90 % interval, over the sets that hold it.
func (p *posterior) severityOf(site int) Interval {
	var mix normalMix
	var v *variant
	for i, f := range p.sets {
		for k, x := range f.faults {
			if x.site != site || p.weight[i] < 1e-6 {
				continue
			}
			v = x
			z, sd := p.g.s.severityAt(f, k)
			mix.add(p.weight[i], z, sd)
		}
	}
	if v == nil {
		return Interval{}
	}
	a, b, c := v.severity(mix.quantile(0.05)), v.severity(mix.quantile(0.5)), v.severity(mix.quantile(0.95))
	return Interval{Value: b, Low: math.Min(a, c), High: math.Max(a, c)}
}

// severityAt is a severity as it is told, in the transformed z, with its
// posterior standard deviation.
func (s *study) severityAt(f *fitted, k int) (z, sd float64) {
	v, z := f.faults[k], f.at.z[k]
	g, gz := make([]float64, s.n), make([]float64, len(f.faults))
	gz[k] = 1
	if v.kind == GateLeaking {
		s.setCoefs(f.at, f.faults)
		z, gz[k] = v.leftOpen(s.u, &s.coef, s.vals, z, g)
	}
	return z, math.Sqrt(s.variance(f, g, gz) + lawVariance(v.kind, z))
}

// leftOpen is what a gate leaves open in all, what it left as built included:
// the z that this is the severity of, with its slopes by the parameters (into
// g) and by the fault's own z. c and vals hold the coefficients with the fault.
func (v *variant) leftOpen(u *unknowns, c *airflow.Coefs, vals []float64, z float64, g []float64) (all, by float64) {
	slot := v.spots[0].slot
	area := *slot.Of(c)
	for i := range u.parts {
		p := &u.parts[i]
		if p.Slot != slot {
			continue
		}
		for k, x := range p.ix {
			if x >= 0 {
				g[x] += vals[i] * p.sd[k] / area
			}
		}
	}
	return math.Log(area / v.bore), v.severity(z) / area
}

// lawSpread is how far the published loss of a half-closed gate or of a
// restriction may lie from that of the one in the duct, in the logarithm: it
// widens what is said of the severity, not of the flow. Common practice, no source.
const lawSpread = 0.2

// lawVariance is what that adds to the variance of a severity's z.
func lawVariance(k Kind, z float64) float64 {
	if law := lawOf(k, z); law > 0 {
		return math.Pow(lawSpread/law, 2)
	}
	return 0
}

// lawOf is the slope of the logarithm of the loss by z; 0 where the contract
// itself defines the loss.
func lawOf(k Kind, z float64) float64 {
	const e = 0.01
	a, b := logistic(z-e), logistic(z+e)
	switch k {
	case GateRestricted:
		return math.Abs(math.Log(airflow.GateLoss(b)/airflow.GateLoss(a))) / (2 * e)
	case Blockage:
		return math.Abs(math.Log(airflow.BlockageLoss(b)/airflow.BlockageLoss(a))) / (2 * e)
	}
	return 0
}

// order of sites by probability, ties by list order.
func (p *posterior) order() []int {
	ix := make([]int, len(p.site))
	for i := range ix {
		ix[i] = i
	}
	sort.SliceStable(ix, func(a, b int) bool { return p.site[ix[a]] > p.site[ix[b]] })
	return ix
}
