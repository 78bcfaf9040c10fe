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
	ports, pool := p.g.s.m.Sys.Ports, p.g.workers()
	short := make([]*small, len(ports))
	var near [workers][]*teller
	inPairs(len(ports), func(i int) {
		if ports[i].Need <= 0 {
			return
		}
		w := i % workers
		if near[w] == nil {
			near[w] = p.tellers(pool[w])
		}
		short[i] = p.undersizedAt(pool[w], near[w], i)
	})
	var out []small
	for _, x := range short {
		if x != nil {
			out = addSmall(out, *x)
		}
	}
	return out
}

// undersizedAt looks at one port; nil if it gets enough.
func (p *posterior) undersizedAt(s *study, near []*teller, port int) *small {
	sets, weight := p.leading()
	cfg, need := alone(s.m, port), s.m.Sys.Ports[port].Need
	probe, err := s.m.ProbeAt(s.m.Sys.Ports[port].ID, units.FlowRate)
	if err != nil {
		return nil
	}
	var short float64
	st := s.m.NewState()
	more := 1.0 // flow by all readings, against that of the likeliest fit
	for k, f := range sets {
		by := []*nearby{near[k].near(aloneOpen(s.m, port), port)}
		for _, e := range s.estimates(st, f, cfg, []airflow.Probe{probe}, true, by) {
			short += weight[k] * distuv.UnitNormal.CDF((need-e.mean)/math.Max(e.sd, 1e-12))
			if v := st.Value(probe); k == 0 && v > 0 && e.mean > 0 {
				more = e.mean / v
			}
		}
	}
	if short < 0.001 {
		return nil
	}
	d, dia := s.culprit(sets[0], port, cfg, need/more)
	return &small{port: port, duct: d, probability: short, diameter: dia}
}

// addSmall keeps one entry a duct: at its likeliest port, wide enough for all.
func addSmall(list []small, x small) []small {
	for k := range list {
		o := &list[k]
		if o.duct != x.duct {
			continue
		}
		dia := o.diameter
		if x.diameter.Value > dia.Value {
			dia = x.diameter
		}
		if x.probability > o.probability {
			*o = x
		}
		o.diameter = dia
		return list
	}
	return append(list, x)
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
func (s *study) culprit(f *fitted, port int, cfg airflow.Config, need float64) (int, Interval) {
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
	return worst, s.diameterFor(port, worst, cfg, st.PortFlow(port), need)
}

// diameterFor solves the page's system with one duct wider and scales by what
// the readings have taught of the port: the diameter at which it gets its need.
func (s *study) diameterFor(port, d int, cfg airflow.Config, now, need float64) Interval {
	page := s.pageFlow(port, d, cfg, 1)
	lo, hi := 1.0, 3.0
	if now >= need {
		hi = 1
	}
	for range 14 {
		k := (lo + hi) / 2
		if now*s.pageFlow(port, d, cfg, k)/page < need {
			lo = k
		} else {
			hi = k
		}
	}
	dia := s.m.Sys.Ducts[d].Diameter * hi
	return Interval{dia, dia * 0.93, dia * 1.1}
}

// pageFlow is what a port gets by the page with one duct k times as wide.
func (s *study) pageFlow(port, d int, cfg airflow.Config, k float64) float64 {
	sys := *s.m.Sys
	sys.Ducts = append(sys.Ducts[:0:0], sys.Ducts...)
	sys.Ducts[d].Diameter *= k
	return flowOf(&sys, port, cfg)
}
