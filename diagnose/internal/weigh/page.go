package weigh

import (
	"cmp"
	"maps"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/numeric"
)

// Page lists what was written down wrong, likeliest first.
func (p *Posterior) Page() []fault.Written {
	at := map[string]int{}
	var out []fault.Written
	for _, w := range p.worlds() {
		if w.R == nil {
			continue
		}
		for _, e := range w.R.Said {
			k := e.Key()
			i, ok := at[k]
			if !ok {
				i, at[k] = len(out), len(out)
				out = append(out, w.told(e))
			}
			out[i].Probability += w.weight
		}
	}
	out = append(out, p.altered()...)
	out = slices.DeleteFunc(out, func(w fault.Written) bool { return w.Probability < pageLeast })
	slices.SortStableFunc(out, func(a, b fault.Written) int { return cmp.Compare(b.Probability, a.Probability) })
	for i := range out {
		p.addAlike(&out[i], out)
	}
	return out
}

// addAlike adds what the readings can't tell from an entry: other entries and
// faults that stand in its place, the rest of the set being the same.
func (p *Posterior) addAlike(e *fault.Written, all []fault.Written) {
	if site := p.alteredSite(e); site >= 0 {
		p.addAlikeAltered(e, site, all)
		return
	}
	mine, same := p.holding(e.Key()), map[string]bool{}
	var faults []string
	for _, w := range p.worlds() {
		for i, f := range w.p.Sets {
			if w.weight*w.p.Weight[i] < 1e-4 || w.holds(e.Key()) {
				continue
			}
			left := w.names(f)
			for _, m := range mine {
				more, less := without(left, m.names), without(m.names, left)
				if m.fits > w.fits(f)+alikeEvidence+2 {
					continue
				}
				switch {
				case w.R != nil && len(more) == 0 && len(less) == 0:
					for _, s := range w.R.Said {
						same[s.Key()] = true
					}
				case w.R == nil && len(more) == 1 && len(less) == 0:
					if !slices.Contains(faults, more[0]) && p.meets(e, more[0]) {
						faults = append(faults, more[0])
					}
				}
			}
		}
	}
	this := p.written(e.Key())
	maps.DeleteFunc(same, func(k string, _ bool) bool { return k != e.Key() && p.goesWith(this, p.written(k)) })
	faults = slices.DeleteFunc(faults, func(n string) bool { return p.goesWith(this, named(n)) })
	e.Together = p.anyWith(e.Key(), same, faults)
	for _, o := range all {
		if same[o.Key()] && o.Key() != e.Key() && o.Probability >= pageLeast {
			o.Alike, o.Faults = nil, nil
			e.Alike = append(e.Alike, o)
		}
	}
	for _, o := range all {
		if i := p.alteredSite(&o); i >= 0 && slices.Contains(faults, siteName(p.G.Sites[i])) {
			o.Alike, o.Faults = nil, nil
			e.Alike = append(e.Alike, o)
		}
	}
	for i, s := range p.G.Sites {
		if s.Kind != fault.Altered && slices.Contains(faults, siteName(s)) && p.Site[i] >= pageLeast {
			e.Faults = append(e.Faults, fault.Candidate{Kind: p.G.Sites[i].Kind, Where: p.G.Sites[i].Where, Probability: numeric.ClampProbability(p.Site[i])})
		}
	}
	slices.SortStableFunc(e.Faults, func(a, b fault.Candidate) int { return cmp.Compare(b.Probability, a.Probability) })
	e.Together = min(max(e.Together, e.Probability), 1)
}

// anyWith is the probability of sets that hold an entry, another that looks the
// same, or a fault that does.
func (p *Posterior) anyWith(key string, same map[string]bool, faults []string) float64 {
	var sum float64
	for _, w := range p.worlds() {
		if w.R != nil && slices.ContainsFunc(w.R.Said, func(s fault.Written) bool { return s.Key() == key || same[s.Key()] }) {
			sum += w.weight
			continue
		}
		for i, f := range w.p.Sets {
			if slices.ContainsFunc(w.names(f), func(n string) bool { return slices.Contains(faults, n) }) {
				sum += w.weight * w.p.Weight[i]
			}
		}
	}
	return sum
}
