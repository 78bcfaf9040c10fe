package next

import (
	"math"

	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/plan"
)

// soundRanges fills in what nine in ten sound systems show where readings are
// proposed: as built somewhere near their page, or as the baselines know this one, the
// instrument's error included.
func soundRanges(p *weigh.Posterior, asks []ask) {
	m, pl := p.G.S.M, SoundPlanner(p)
	pl.Sites = nil
	pl.Sound()
	st := m.NewState()
	for i := range asks {
		a := &asks[i]
		if a.LookAt != "" {
			continue
		}
		if st.Solve(&pl.S.Coef, a.cfg) != nil {
			continue
		}
		st.Prepare()
		sd := plan.NewReadingSD(p.G.S, a.spot, st.Value(a.spot.Probe)) / math.Sqrt2
		here := []plan.Offer{pl.Offer(st, plan.NextConfig{Cfg: a.cfg, Open: a.Open}, a.spot, 0, sd, sd)}
		pl.Foresee(here)
		a.Range = here[0].Stop.Expected
	}
}

// SoundPlanner knows what the page and the baselines say of the system, and no more.
func SoundPlanner(p *weigh.Posterior) *plan.Planner {
	if k := p.Earlier; k != nil {
		return plan.PlannerOf(p.G.S.M, k.U, k.L, k.Shared)
	}
	u := asbuilt.NewUnknowns(p.G.S.M)
	l := fit.NewLayout(u)
	return plan.PlannerOf(p.G.S.M, u, l, fit.Prior{Mean: make([]float64, l.N), Scale: 1})
}
