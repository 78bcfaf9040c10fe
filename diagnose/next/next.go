package next

import (
	"math"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/plan"
)

// Rank ranks what could be read or looked at next by what it is expected to
// change in what to do first, per minute of work, and says whether that is
// worth its minutes. First is the fault of the system that is asserted first, nil if
// none is, and together its chance with all that looks like it; page is what is held
// for wrong of what was written down.
func Rank(p *weigh.Posterior, first *fault.Candidate, together float64, page []fault.Written) ([]Step, Enough) {
	list, enough := rank(p, first, together)
	return withAcrosses(list, enough, acrosses(p, page))
}

func rank(p *weigh.Posterior, first *fault.Candidate, together float64) ([]Step, Enough) {
	matter := matter(p)
	risk := risk(p, first, together, matter)
	rivals := rivals(p, matter)
	if classes(rivals) < 2 {
		return nil, Enough{Yes: risk < open, Risk: risk, Act: first}
	}
	c := newChooser(rivals, acts(p, rivals), standing(p))
	pay, others := worthAsking(p, c, configsToRead(p, true), risk)
	if len(pay) == 0 && risk >= stillOpen && len(p.G.S.M.Sys.Settings) > 0 { // nothing in use tells it
		pay, others = worthAsking(p, c, configsToRead(p, false), risk)
	}
	return append(pay, others...), Enough{Yes: len(pay) == 0, Risk: risk, Act: first}
}

// worthAsking ranks what can be asked in some settings of the gates: what is worth its
// minutes, and what is not.
func worthAsking(p *weigh.Posterior, c *chooser, configs []plan.NextConfig, risk float64) (pay, others []Step) {
	asks := asks(p, c, configs)
	best := spread1(asks, c.rank(asks))
	soundRanges(p, best)
	for i := range best {
		n := best[i].Step
		n.Minutes = c.at.minutes(&best[i])
		if n.Pays = best[i].gain > 0 || risk >= stillOpen && best[i].decides >= hardlyTells; n.Pays {
			pay = append(pay, n)
		} else {
			others = append(others, n)
		}
	}
	return pay, others
}

// The choice looks a few readings ahead, and what only a longer round would show is
// out of its sight. So it does not say that it is enough while much is still open
// and a reading would still tell. Own choice.
const (
	stillOpen   = 0.08 // risk from which much is open
	hardlyTells = 0.03 // bits of what to do below which a reading tells next to nothing
	open        = 0.5  // risk from which nothing is known
)

// asks lists what could be read or looked at, with what each rival says of it.
func asks(p *weigh.Posterior, c *chooser, configs []plan.NextConfig) []ask {
	pool := p.G.Workers()
	each := make([][]ask, len(configs))
	numeric.ForEach(len(configs), func(i int) { each[i] = asksIn(p, pool[i%numeric.Workers], configs[i], c) })
	return append(slices.Concat(each...), looks(p, c)...)
}

// shownMost is how many are shown: the best few.
const shownMost = 8

// spread1 keeps the best few, at most two at one point.
func spread1(all []ask, order []int) []ask {
	var out []ask
	at := map[string]int{}
	for _, i := range order {
		a := all[i]
		if a.Bits < leastBits || at[a.Point] >= 2 {
			continue
		}
		at[a.Point]++
		if out = append(out, a); len(out) == shownMost {
			break
		}
	}
	return out
}

// asksIn rates every spot in one configuration.
func asksIn(p *weigh.Posterior, s *fit.Study, c plan.NextConfig, ch *chooser) []ask {
	spots := spotsIn(p, c)
	rivals := ch.rivals
	est := make([][]fit.Estimate, len(rivals))
	st := s.M.NewState()
	for k, r := range rivals {
		if est[k] = foretold(s, st, r.fit, c.Cfg, spots); est[k] == nil {
			return nil
		}
	}
	var out []ask
	for i, sp := range spots {
		mean, sd := make([]float64, len(rivals)), make([]float64, len(rivals))
		for k := range rivals {
			mean[k], sd[k] = est[k][i].Mean, est[k][i].Sd
		}
		bits := information(rivals, mean, sd)
		if bits < leastBits/2 {
			continue
		}
		a := ask{Step: Step{Point: sp.Point, Quantity: sp.Q, Open: c.Open, HoseOff: c.HoseOff, NewTap: sp.Hole, Again: taken(p, sp, c),
			Bits: bits, Minutes: sp.Minutes + c.Unhook, Tells: tells(p, rivals, mean, sd)}, setting: settingOf(c.Open, c.HoseOff), cfg: c.Cfg, spot: sp}
		a.decides = information(ch.asking, mean, sd)
		ch.reading(&a, mean, sd, i)
		out = append(out, a)
	}
	return out
}

// taken is whether a reading stands in the survey already.
func taken(p *weigh.Posterior, sp plan.SpotToRead, c plan.NextConfig) bool {
	for i := range p.G.S.B.Survey.Readings {
		r := &p.G.S.B.Survey.Readings[i]
		if r.Point == sp.Point && r.Quantity == sp.Q && settingOf(r.Open, r.HoseOff) == settingOf(c.Open, c.HoseOff) {
			return true
		}
	}
	return false
}

// tells are the two classes that a reading sets apart best.
func tells(p *weigh.Posterior, r []rival, mean, sd []float64) []Explanation {
	best, a, b := -1.0, 0, 0
	for i := range r {
		for j := range r {
			if r[i].class >= r[j].class {
				continue
			}
			z := math.Abs(mean[i]-mean[j]) / math.Hypot(sd[i], sd[j])
			if v := r[i].weight * r[j].weight * math.Min(z, 4); v > best {
				best, a, b = v, i, j
			}
		}
	}
	return append(ownOf(p, r[a].fit, r[b].fit), ownOf(p, r[b].fit, r[a].fit)...)
}

// ownOf is what a set blames and another does not: at most one.
func ownOf(p *weigh.Posterior, f, other *fit.Fit) []Explanation {
	for _, v := range f.Faults {
		if !weigh.Holds(other.Hypothesis, v.Site) {
			s := p.G.Sites[v.Site]
			return []Explanation{{Kind: s.Kind, Where: s.Where}}
		}
	}
	if len(f.Faults) == 0 {
		return []Explanation{{Sound: true}}
	}
	return nil
}
