package weigh

import (
	"cmp"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/numeric"
	"lostair/readings/units"
)

// pageLeast is the probability from which something written wrong is told.
const pageLeast = 0.01

// altered are the ducts whose losses are not those of the baseline or, of a new
// install, of the page.
func (p *Posterior) altered() []fault.Written {
	var out []fault.Written
	for i, s := range p.G.Sites {
		if s.Kind != fault.Altered || p.Site[i] < pageLeast {
			continue
		}
		w := fault.Written{Kind: fault.AsBuilt, Where: s.Where, Probability: p.Site[i], Says: &fault.Size{Quantity: Losses, Dimension: units.Multiple, Value: 1, Low: 1, High: 1}}
		if s.ByPage {
			w.Reason = fault.NotBaseline
		}
		iv := p.SeverityOf(i)
		w.Behaves = &fault.Size{Quantity: Losses, Dimension: units.Multiple, Value: iv.Value, Low: iv.Low, High: iv.High}
		out = append(out, w)
	}
	return out
}

// Losses is the quantity of a duct that has changed since the baseline.
const Losses = "losses"

// alteredSite is the place of a duct whose losses are not what they should be; -1:
// the entry is another.
func (p *Posterior) alteredSite(e *fault.Written) int {
	if e.Says == nil || e.Says.Quantity != Losses {
		return -1
	}
	return slices.IndexFunc(p.G.Sites, func(s *fault.Site) bool { return s.Kind == fault.Altered && s.Where == e.Where })
}

// addAlikeAltered adds what the readings can't tell from a duct's losses: those of
// ducts beside it, faults, and sizes by which the rest of the set explains as much.
func (p *Posterior) addAlikeAltered(e *fault.Written, site int, all []fault.Written) {
	members, swap, mine := []int{site}, p.swaps(site), named(siteName(p.G.Sites[site]))
	for i, s := range p.G.Sites {
		if !swap[i] || i == site || p.Site[i] < max(pageLeast, alikeShare*p.Site[site]) || !p.adjoinsAny(i, []int{site}) || p.goesWith(mine, named(siteName(s))) {
			continue
		}
		members = append(members, i)
		if s.Kind != fault.Altered {
			e.Faults = append(e.Faults, fault.Candidate{Kind: s.Kind, Where: s.Where, Probability: numeric.ClampProbability(p.Site[i])})
		}
	}
	for _, o := range all {
		if i := p.alteredSite(&o); i != site && slices.Contains(members, i) {
			o.Alike, o.Faults = nil, nil
			e.Alike = append(e.Alike, o)
		}
	}
	slices.SortStableFunc(e.Faults, func(a, b fault.Candidate) int { return cmp.Compare(b.Probability, a.Probability) })
	same := p.sizesLike(site, e, all)
	e.Together = 0
	for _, w := range p.worlds() {
		if w.R != nil && slices.ContainsFunc(w.R.Said, func(s fault.Written) bool { return same[s.Key()] }) {
			e.Together += w.weight
		} else {
			e.Together += w.weight * w.p.anyAlone(w.places(members))
		}
	}
	e.Together = min(max(e.Together, e.Probability), 1)
}

// sizesLike adds the sizes written down wrong in whose worlds a set explains as
// much without the place as it does here with it.
func (p *Posterior) sizesLike(site int, e *fault.Written, all []fault.Written) map[string]bool {
	same, name := map[string]bool{}, siteName(p.G.Sites[site])
	for _, o := range all {
		k := o.Key()
		if p.alteredSite(&o) >= 0 || o.Kind != fault.AsBuilt || o.Says == nil {
			continue
		}
		mine := p.holding(k)
		if len(mine) > 0 && p.standsFor(name, mine) && !p.goesWith(named(name), p.written(k)) {
			same[k] = true
			o.Alike, o.Faults = nil, nil
			e.Alike = append(e.Alike, o)
		}
	}
	return same
}

// standsFor says whether a set as written that holds the name is, without it, one of these.
func (p *Posterior) standsFor(name string, these []held) bool {
	for _, w := range p.worlds() {
		if w.R != nil {
			continue
		}
		for i, f := range w.p.Sets {
			if w.weight*w.p.Weight[i] < 1e-4 {
				continue
			}
			names := w.names(f)
			for _, m := range these {
				more := without(names, m.names)
				if len(more) == 1 && more[0] == name && len(without(m.names, names)) == 0 && m.fits <= w.fits(f)+alikeEvidence+2 {
					return true
				}
			}
		}
	}
	return false
}

// meets is whether a place whose losses aren't what they should be adjoins the duct
// that an entry is of; anything else may stand for an entry anywhere.
func (p *Posterior) meets(e *fault.Written, name string) bool {
	i := slices.IndexFunc(p.G.Sites, func(s *fault.Site) bool { return siteName(s) == name })
	d, isDuct := p.G.S.M.Sys.DuctNamed(e.Where)
	if e.Kind != fault.AsBuilt || !isDuct || i < 0 || p.G.Sites[i].Kind != fault.Altered {
		return true
	}
	return fault.Adjoin(p.G.S.M.Sys, d, p.G.Sites[i].Duct)
}
