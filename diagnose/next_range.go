package diagnose

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/plan"
	"lostair/readings/units"
)

// soundRanges fills in what nine in ten sound systems show where readings are
// proposed: as built somewhere near their page, the instrument's error included.
func soundRanges(p *weigh.Posterior, asks []ask) {
	m := p.G.S.M
	u := asbuilt.NewUnknowns(m)
	l := fit.NewLayout(u)
	pl := plan.PlannerOf(m, u, l, fit.Prior{Mean: make([]float64, l.N), Scale: 1})
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
