package diagnose

import (
	"math"
	"slices"

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

// undersized looks at each port in the setting in use in which it gets least
// (where none is named: its own gates open and all others shut), in the system as the readings have taught it, its faults taken away.
func (p *posterior) undersized() []small {
	ports, pool := p.g.s.m.Sys.Ports, p.g.workers()
	short := make([]*small, len(ports))
	inPairs(len(ports), func(i int) {
		if w := i % workers; ports[i].Need > 0 {
			short[i] = p.undersizedAt(pool[w], p.tellers(w), i)
		}
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
	use, ok := hardest(s.m, port)
	cfg, need := use.cfg, s.m.Sys.Ports[port].Need
	probe, err := s.m.ProbeAt(s.m.Sys.Ports[port].ID, units.FlowRate)
	if err != nil || !ok {
		return nil
	}
	var short float64
	var flow normalMix
	st := s.m.NewState()
	for k, f := range sets {
		by := []*nearby{near[k].near(use.open, port)}
		for _, e := range s.estimates(st, f, cfg, []airflow.Probe{probe}, true, by) {
			short += weight[k] * distuv.UnitNormal.CDF((need-e.mean)/math.Max(e.sd, 1e-12))
			flow.add(weight[k], e.mean, math.Hypot(e.sd, widerForm*e.mean))
		}
	}
	if short < 0.001 {
		return nil
	}
	d := s.culprit(sets[0], port, cfg)
	return &small{port: port, duct: d, probability: short, diameter: s.diameterFor(port, d, cfg, &flow, need)}
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

// culprit finds the duct on the port's way that costs most.
func (s *study) culprit(f *fitted, port int, cfg airflow.Config) int {
	s.setCoefs(f.at, nil)
	st := s.m.NewState()
	worst, cost := s.m.Sys.Ports[port].Duct, 0.0
	if st.Solve(&s.coef, cfg) != nil {
		return worst
	}
	for _, d := range wayOf(s.m, port) {
		if c := st.DuctLoss(d); c > cost {
			worst, cost = d, c
		}
	}
	return worst
}

const (
	widerForm  = 0.03 // what the model may be off in what a wider duct gives, as a share of flow. Common practice, no source.
	widerMost  = 3.0  // times its diameter to which a duct is made wider at most
	widerPower = 2.5  // flow at a given gradient goes with so many powers of the diameter (Darcy–Weisbach, the same factor; value from memory)
)

// diameterFor is the diameter at which a port gets its need. The page says how
// many times as much a wider duct brings, the readings what it brings now.
func (s *study) diameterFor(port, d int, cfg airflow.Config, flow *normalMix, need float64) Interval {
	own := s.m.Sys.Ducts[d].Diameter
	now := flow.quantile(0.5)
	page := s.pageFlow(port, d, cfg, 0)
	lo, hi := 1.0, widerMost
	if now >= need {
		hi = 1
	}
	for range 14 {
		k := (lo + hi) / 2
		if now*s.pageFlow(port, d, cfg, k*own)/page < need {
			lo = k
		} else {
			hi = k
		}
	}
	power := 1 / widerPower // near there, of the diameter by the flow
	if more := need / now; more > 1 && hi > 1 {
		power = max(power, math.Log(hi)/math.Log(more))
	}
	at := func(q float64) float64 {
		f := flow.quantile(q)
		if f <= 0 || now <= 0 {
			return own * widerMost // no air is brought there by any width
		}
		return own * min(max(1, hi*math.Pow(now/f, power)), widerMost)
	}
	return Interval{own * hi, at(0.95), at(0.05)}
}

// pageFlow is what a port gets by the page with a duct of such a diameter. Of
// ducts in a row that carry its air alone none stays narrower than that: a wide
// hose on a narrow drop is no help.
func (s *study) pageFlow(port, d int, cfg airflow.Config, diameter float64) float64 {
	sys := *s.m.Sys
	sys.Ducts = append(sys.Ducts[:0:0], sys.Ducts...)
	for _, x := range s.narrower(port, d, diameter) {
		sys.Ducts[x].Diameter = diameter
	}
	return flowOf(&sys, port, cfg)
}

// narrower lists the ducts to be replaced for a duct on a port's way to be as
// wide as that, from the port on: those of its own line, or the trunk alone.
func (s *study) narrower(port, d int, diameter float64) []int {
	row := ownWay(s.m, port, trunks(s.m.Sys))
	if !slices.Contains(row, d) {
		row = []int{d}
	}
	return slices.DeleteFunc(row, func(x int) bool { return s.m.Sys.Ducts[x].Diameter >= diameter })
}
