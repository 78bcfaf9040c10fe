package next

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/route"
)

// mattersLeast is the probability below which a set is not looked into.
const mattersLeast = 1e-4

// matter works out for each set how likely it is that its faults matter to what
// was read: that they take so much from a port's air in a setting of the survey.
func matter(p *weigh.Posterior) []float64 {
	s := p.G.S
	out := make([]float64, len(p.Sets))
	pool := p.G.Workers()
	numeric.ForEach(len(p.Sets), func(i int) {
		f := p.Sets[i]
		if p.Weight[i] >= mattersLeast && len(f.Faults) > 0 {
			out[i] = matters(pool[i%numeric.Workers], f, s.B.Configs)
		}
	})
	return out
}

// matters is the probability that the faults of a set take so much, its
// severities being known as far as they are.
func matters(s *fit.Study, f *fit.Fit, configs []observe.Gates) float64 {
	sd := make([]float64, len(f.Faults))
	for k := range sd {
		_, sd[k] = s.SeverityAt(f, k)
	}
	off := f.At.Clone()
	for k := range sd {
		off.Z[k] += sd[k]
	}
	most, where := 0.0, -1
	for c := range configs {
		if v := takes(s, f, f.At, configs[c]); v > most {
			most, where = v, c
		}
	}
	moved := most
	if where >= 0 {
		moved = takes(s, f, off, configs[where])
	}
	return distuv.UnitNormal.CDF((most - weigh.MattersFrom) / math.Max(math.Abs(moved-most), 1e-3))
}

// takes is the largest share that the faults of a set take from a port's air in
// a setting, at a point. It is worked out only as well as that is judged.
func takes(s *fit.Study, f *fit.Fit, at fit.Point, c observe.Gates) float64 {
	st := s.M.NewState()
	st.Roughly = true
	s.SetCoefs(fit.Point{Theta: at.Theta}, nil)
	if st.Solve(&s.Coef, c.Config) != nil {
		return 0
	}
	ports := route.Reach(s.M, c.Config)
	before := flowsOf(st, s.M, ports)
	s.SetCoefs(at, f.Faults)
	if st.Solve(&s.Coef, c.Config) != nil {
		return 0
	}
	var most float64
	for i, after := range flowsOf(st, s.M, ports) {
		if before[i] > 0 {
			most = math.Max(most, 1-after/before[i])
		}
	}
	return most
}

// flowsOf are the flows of the ports whose gates are open; of the others zero.
func flowsOf(st *airflow.State, m *airflow.Model, open []bool) []float64 {
	out := make([]float64, len(open))
	for i := range open {
		if open[i] {
			out[i] = st.PortFlow(i)
		}
	}
	return out
}
