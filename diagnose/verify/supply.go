package verify

import (
	"lostair/diagnose/airflow"
	"lostair/diagnose/route"
	"lostair/readings/units"
)

// Supply bounds what air a setting of the gates can bring through a duct: no
// port gives more than with its own gates alone open, and no joint and no shut
// gate leaks more than with all of them shut, when suction is highest. So most
// sets of gates need not be solved to see that they don't keep a trunk carrying.
type Supply struct {
	m    *airflow.Model
	shut []float64 // flow in each duct with all gates shut, m³/s
	most []float64 // of each port, m³/s; 0 of one that no gate shuts, which is in shut
	way  [][]bool  // of each port: the ducts that its air passes
}

// supplyMargin allows for what a join gives one leg at the cost of another.
const supplyMargin = 1.1

// NewSupply is nil where a setting can't be solved.
func NewSupply(m *airflow.Model, st *airflow.State, c *airflow.Coefs) *Supply {
	none, err := m.Configure(false, nil, nil)
	if err != nil || st.Solve(c, none) != nil {
		return nil
	}
	s := &Supply{m: m, shut: make([]float64, len(m.Sys.Ducts)), most: make([]float64, len(m.Sys.Ports)), way: route.All(m)}
	for d := range s.shut {
		s.shut[d] = st.Value(m.ProbeDuct(d, units.FlowRate))
	}
	always := route.Reach(m, none)
	for i := range m.Sys.Ports {
		if always[i] {
			continue
		}
		if st.Solve(c, route.Alone(m, i)) != nil {
			return nil
		}
		s.most[i] = st.PortFlow(i)
	}
	return s
}

// Could says whether every one of the ducts may get its least flow.
func (s *Supply) Could(cfg airflow.Config, ducts []int, least []float64) bool {
	if s == nil {
		return true
	}
	open := route.Reach(s.m, cfg)
	for k, d := range ducts {
		q := s.shut[d]
		for i, ok := range open {
			if ok && s.way[i][d] {
				q += s.most[i]
			}
		}
		if q*supplyMargin < least[k] {
			return false
		}
	}
	return true
}
