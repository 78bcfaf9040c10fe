package diagnose

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"lostair/diagnose/airflow"
	"lostair/readings/units"
)

// small is a drop that is too small even without a fault.
type small struct {
	port, duct  int
	probability float64
	diameter    Interval // that would do
}

// undersized looks at each port with its own gates open and all others shut,
// in the system as the readings have taught it, its faults taken away.
func (p *posterior) undersized() []small {
	s := p.g.s
	sets, weight := p.leading()
	var out []small
	for i, port := range s.m.Sys.Ports {
		if port.Need <= 0 {
			continue
		}
		cfg := alone(s.m, i)
		probe, err := s.m.ProbeAt(port.ID, units.FlowRate)
		if err != nil {
			continue
		}
		var short float64
		for k, f := range sets {
			for _, e := range s.estimates(f, cfg, []airflow.Probe{probe}, true) {
				short += weight[k] * distuv.UnitNormal.CDF((port.Need-e.mean)/math.Max(e.sd, 1e-12))
			}
		}
		if short < 0.001 {
			continue
		}
		d, dia := p.culprit(sets[0], i, cfg, port.Need)
		out = append(out, small{port: i, duct: d, probability: short, diameter: dia})
	}
	return out
}

// alone is the configuration with only a port's own gates open.
func alone(m *airflow.Model, port int) airflow.Config {
	c, _ := m.Configure(false, nil, nil)
	for d := m.Sys.Ports[port].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
		if g := m.Sys.Ducts[d].Gate; g != "" {
			k, _ := m.GateIndex(g)
			c.Open[k] = true
		}
	}
	return c
}

// culprit finds the duct on the port's way that costs most, and the diameter
// at which the port would get its need, all else as it is.
func (p *posterior) culprit(f *fitted, port int, cfg airflow.Config, need float64) (int, Interval) {
	s := p.g.s
	s.setCoefs(f.at, nil)
	st := s.m.NewState()
	if st.Solve(&s.coef, cfg) != nil {
		return s.m.Sys.Ports[port].Duct, Interval{}
	}
	worst, cost := -1, 0.0
	for d := s.m.Sys.Ports[port].Duct; d >= 0; d = s.m.Sys.Ducts[d].Into {
		if c := st.DuctLoss(d); c > cost {
			worst, cost = d, c
		}
	}
	if worst < 0 {
		return s.m.Sys.Ports[port].Duct, Interval{}
	}
	// Losses on a duct go with d⁻⁴, its friction with d⁻⁵; what the port would
	// get is solved for on the tree with the duct's own losses scaled.
	q := st.PortFlow(port)
	lo, hi := 1.0, 4.0
	for range 40 {
		k := (lo + hi) / 2
		if s.widened(f, cfg, port, worst, k) < need {
			lo = k
		} else {
			hi = k
		}
	}
	if q >= need {
		hi = 1
	}
	dia := s.m.Sys.Ducts[worst].Diameter * hi
	return worst, Interval{dia, dia * 0.95, dia * 1.06}
}

// widened is a port's flow with one duct k times as wide.
func (s *study) widened(f *fitted, cfg airflow.Config, port, d int, k float64) float64 {
	s.setCoefs(f.at, nil)
	a := 1 / (k * k * k * k)
	for _, x := range s.m.DuctSegments(d) {
		s.coef.K[x] *= a
		s.coef.Friction[x] *= a / k
	}
	if g := s.m.Sys.Ducts[d].Gate; g != "" {
		i, _ := s.m.GateIndex(g)
		s.coef.GateOpen[i] *= a
	}
	if p := s.m.Sys.Ducts[d].Port; p >= 0 {
		// the hood's loss and the acceleration, which stand on the duct's velocity pressure
		x := s.m.PortSegment(p)
		s.coef.K[x] = (1+s.coef.K[x])*a - 1
	}
	st := s.m.NewState()
	if st.Solve(&s.coef, cfg) != nil {
		return 0
	}
	return st.PortFlow(port)
}
