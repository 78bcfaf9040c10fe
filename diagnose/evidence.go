package diagnose

import "sort"

// evidenceMost is how many readings are shown for a suspect.
const evidenceMost = 4

// best is the likeliest set with one of the sites.
func (p *posterior) best(sites []int) (*fitted, int) {
	for _, f := range p.sets {
		for k, v := range f.faults {
			if contains(sites, v.site) {
				return f, k
			}
		}
	}
	return nil, 0
}

// evidence finds the readings that speak for a group: those which fit much
// better with the fault than with the same system without it.
func (p *posterior) evidence(g group) []Evidence {
	s := p.g.s
	f, k := p.best(g.members)
	if f == nil {
		return nil
	}
	without := hypothesis{rows: f.rows}
	at := point{theta: f.at.theta}
	for i, v := range f.faults {
		if i != k {
			without.faults = append(without.faults, v)
			at.z = append(at.z, f.at.z[i])
		}
	}
	h := make([]float64, len(s.obs))
	if s.predict(at, without, h) != nil {
		return nil
	}
	set := map[int]bool{}
	for _, w := range f.rows {
		set[w.obs] = true
	}
	type gain struct {
		e    Evidence
		gain float64
	}
	var all []gain
	for i, o := range s.obs {
		if set[i] {
			continue
		}
		v := s.baseNoise(i) + o.gain*o.gain
		d0, d1 := o.y-h[i], o.y-f.fit.h[i]
		if x := (d0*d0 - d1*d1) / v; x > 1 {
			all = append(all, gain{Evidence{Reading: p.whole.at(i), Measured: o.y, Sound: h[i], WithFault: f.fit.h[i], Sigma: s.readingSD(p.g.sound, i)}, x})
		}
	}
	sort.SliceStable(all, func(a, b int) bool { return all[a].gain > all[b].gain })
	var out []Evidence
	for _, x := range all[:min(evidenceMost, len(all))] {
		out = append(out, x.e)
	}
	return out
}
