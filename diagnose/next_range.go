package diagnose

import (
	"context"
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/plan"
	"lostair/readings"
	"lostair/readings/units"
)

// soundRanges fills in what nine in ten sound systems show where readings are
// proposed: as built somewhere near their page, or as the baselines know this one, the
// instrument's error included.
func soundRanges(p *weigh.Posterior, asks []ask) {
	m, pl := p.G.S.M, soundPlanner(p)
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

// soundPlanner knows what the page and the baselines say of the system, and no more.
func soundPlanner(p *weigh.Posterior) *plan.Planner {
	if k := p.Earlier; k != nil {
		return plan.PlannerOf(p.G.S.M, k.U, k.L, k.Shared)
	}
	u := asbuilt.NewUnknowns(p.G.S.M)
	l := fit.NewLayout(u)
	return plan.PlannerOf(p.G.S.M, u, l, fit.Prior{Mean: make([]float64, l.N), Scale: 1})
}

// SoundRanges says what nine in ten sound systems show at each row, by the page and by
// the baselines of the diagnosis: SI. Errors are those of plan.Ranges.
func (s *Standing) SoundRanges(ctx context.Context, rows []readings.Row) ([]fault.Interval, error) {
	if s.p == nil { // it was stopped
		return plan.Ranges(ctx, s.System, s.System.File, rows)
	}
	return soundPlanner(s.p).Ranges(ctx, rows)
}

// holePlace is where a hole is drilled in a duct, from its upstream end, m: as
// near to the end as a drill and a disturbed flow allow. Common practice, no source. It
// is rounded to what is easily found on a tape: centimetres, or quarters of a foot.
func holePlace(m *airflow.Model, d int) float64 {
	t := &m.Sys.Ducts[d]
	at := math.Min(2*t.Diameter, t.Length/2)
	if len(t.Taps) > 0 {
		at = math.Min(at, t.Taps[0].Distance/2)
	}
	if m.Sys.Units == units.US {
		tape := units.Length.FromSI(units.US, at)
		if r := math.Round(tape*4) / 4; r > 0 && r < 2*tape { // within the run, or before its first tap
			return at * r / tape
		}
	}
	return math.Round(at*100) / 100
}
