package diagnose

import (
	"sort"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/weigh"
)

// evidenceMost is how many readings are shown for a suspect.
const evidenceMost = 4

// best is the likeliest set with one of the sites.
func best(p *weigh.Posterior, sites []int) (*fit.Fit, int) {
	for _, f := range p.Sets {
		for k, v := range f.Faults {
			if numeric.Contains(sites, v.Site) {
				return f, k
			}
		}
	}
	return nil, 0
}

// evidence finds the readings that speak for a group: those which fit much
// better with the fault than with the same system without it.
func evidence(p *weigh.Posterior, g weigh.Group) []Evidence {
	s := p.G.S
	f, k := best(p, g.Members)
	if f == nil {
		return nil
	}
	without := fit.Hypothesis{Rows: f.Rows}
	at := fit.Point{Theta: f.At.Theta}
	for i, v := range f.Faults {
		if i != k {
			without.Faults = append(without.Faults, v)
			at.Z = append(at.Z, f.At.Z[i])
		}
	}
	h := make([]float64, len(s.Observation))
	if s.Predict(at, without, h) != nil {
		return nil
	}
	set := map[int]bool{}
	for _, w := range f.Rows {
		set[w.Observation] = true
	}
	type gain struct {
		e    Evidence
		gain float64
	}
	var all []gain
	for i, o := range s.Observation {
		if set[i] {
			continue
		}
		v := s.BaseNoise(i) + o.Gain*o.Gain
		d0, d1 := o.Y-h[i], o.Y-f.Fit.H[i]
		if x := (d0*d0 - d1*d1) / v; x > 1 {
			all = append(all, gain{Evidence{Reading: p.Whole.At(i), Measured: o.Y, Sound: h[i], WithFault: f.Fit.H[i], Sigma: s.ReadingSD(p.G.Sound, i)}, x})
		}
	}
	sort.SliceStable(all, func(a, b int) bool { return all[a].gain > all[b].gain })
	var out []Evidence
	for _, x := range all[:min(evidenceMost, len(all))] {
		out = append(out, x.e)
	}
	return out
}
