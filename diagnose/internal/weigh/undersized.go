package weigh

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/settings"
	"lostair/diagnose/route"
	"lostair/readings/units"
)

// Undersized looks at each port in the setting in use in which it gets least
// (where none is named: its own gates open and all others shut), in the system as the readings have taught it, its faults taken away.
func (p *Posterior) Undersized() []SmallPort {
	var out []SmallPort
	for _, x := range p.SmallPorts() {
		out = addSmall(out, x)
	}
	return out
}

// SmallPorts is Undersized with an entry a port.
func (p *Posterior) SmallPorts() []SmallPort {
	if p.small != nil {
		return *p.small
	}
	ports, pool, asked := p.G.S.M.Sys.Ports, p.G.Workers(), p.PortsAsked()
	short := make([]*SmallPort, len(ports))
	numeric.ForEach(len(asked), func(k int) {
		if i, w := asked[k], k%numeric.Workers; ports[i].Need > 0 {
			short[i] = p.undersizedAt(pool[w], p.Conditioners(w), i)
		}
	})
	var out []SmallPort
	for _, x := range short {
		if x != nil {
			out = append(out, *x)
		}
	}
	p.small = &out
	return out
}

// mostPortsSolved bounds the work on a plant of thousands of ports, of which each is
// solved in a setting of its own: ports times ducts. Own choice; ten seconds or so of
// one processor.
const mostPortsSolved = 5_000_000

// PortsAsked are the ports of which it is asked whether they are too small by design.
func (p *Posterior) PortsAsked() []int {
	sys := p.G.S.M.Sys
	read := map[string]bool{}
	for _, r := range p.G.S.B.Survey.Rows {
		read[r.Point] = true
	}
	return portsAsked(len(sys.Ports), len(sys.Ducts), func(i int) bool { return read[sys.Ports[i].ID] })
}

// portsAsked are all of so many ports, or of a plant of thousands those that were read
// and some others, evenly.
func portsAsked(ports, ducts int, read func(port int) bool) []int {
	some := max(mostPortsSolved/max(ducts, 1), 1)
	asked := numeric.Evenly(ports, some)
	if some >= ports {
		return asked
	}
	for i := range ports {
		if read(i) {
			asked = append(asked, i)
		}
	}
	slices.Sort(asked)
	return slices.Compact(asked)
}

// undersizedAt looks at one port; nil if it gets enough.
func (p *Posterior) undersizedAt(s *fit.Study, near []*Conditioner, port int) *SmallPort {
	sets, weight := p.Leading()
	use, ok := settings.Hardest(s.M, port)
	cfg, need := use.Cfg, s.M.Sys.Ports[port].Need
	probe, err := s.M.ProbeAt(s.M.Sys.Ports[port].ID, units.FlowRate)
	if err != nil || !ok {
		return nil
	}
	var short float64
	var flow numeric.Mixture
	st := s.M.NewState()
	for k, f := range sets {
		by := []*numeric.Nearby{near[k].Near(use.Open, port)}
		for _, e := range s.Estimates(st, f, cfg, []airflow.Probe{probe}, true, by) {
			short += weight[k] * distuv.UnitNormal.CDF((need-e.Mean)/math.Max(e.Sd, 1e-12))
			flow.Add(weight[k], e.Mean, math.Hypot(e.Sd, WiderForm*e.Mean))
		}
	}
	if short < 0.001 {
		return nil
	}
	d := culprit(s, sets[0], port, cfg)
	return &SmallPort{Port: port, Duct: d, Probability: short, Diameter: DiameterFor(s, port, d, cfg, &flow, need), Use: use, Flow: flow}
}

// addSmall keeps one entry a duct: at its likeliest port, wide enough for all.
func addSmall(list []SmallPort, x SmallPort) []SmallPort {
	for k := range list {
		o := &list[k]
		if o.Duct != x.Duct {
			continue
		}
		dia := o.Diameter
		if x.Diameter.Value > dia.Value {
			dia = x.Diameter
		}
		if x.Probability > o.Probability {
			*o = x
		}
		o.Diameter = dia
		return list
	}
	return append(list, x)
}

// culprit finds the duct on the port's way that costs most.
func culprit(s *fit.Study, f *fit.Fit, port int, cfg airflow.Config) int {
	s.SetCoefs(f.At, nil)
	st := s.M.NewState()
	worst, cost := s.M.Sys.Ports[port].Duct, 0.0
	if st.Solve(&s.Coef, cfg) != nil {
		return worst
	}
	for _, d := range route.Of(s.M, port) {
		if c := st.DuctLoss(d); c > cost {
			worst, cost = d, c
		}
	}
	return worst
}

const (
	WiderForm   = 0.03 // what the model may be off in what a wider duct gives, as a share of flow. Common practice, no source.
	WidestTimes = 3.0  // times its diameter to which a duct is made wider at most
	WiderPower  = 2.5  // flow at a given gradient goes with so many powers of the diameter (Darcy–Weisbach, the same factor; value from memory)
)

// DiameterFor is the diameter at which a port gets its need. The page says how
// many times as much a wider duct brings, the readings what it brings now.
func DiameterFor(s *fit.Study, port, d int, cfg airflow.Config, flow *numeric.Mixture, need float64) fault.Interval {
	own := s.M.Sys.Ducts[d].Diameter
	now := flow.Quantile(0.5)
	page := PageFlow(s, port, d, cfg, 0)
	lo, hi := 1.0, WidestTimes
	if now >= need {
		hi = 1
	}
	for range 14 {
		k := (lo + hi) / 2
		if now*PageFlow(s, port, d, cfg, k*own)/page < need {
			lo = k
		} else {
			hi = k
		}
	}
	power := 1 / WiderPower // near there, of the diameter by the flow
	if more := need / now; more > 1 && hi > 1 {
		power = max(power, math.Log(hi)/math.Log(more))
	}
	at := func(q float64) float64 {
		f := flow.Quantile(q)
		if f <= 0 || now <= 0 {
			return own * WidestTimes // no air is brought there by any width
		}
		return own * min(max(1, hi*math.Pow(now/f, power)), WidestTimes)
	}
	return fault.Interval{Value: own * hi, Low: at(0.95), High: at(0.05)}
}

// PageFlow is what a port gets by the page with a duct of such a diameter. Of
// ducts in a row that carry its air alone none stays narrower than that: a wide
// hose on a narrow drop is no help.
func PageFlow(s *fit.Study, port, d int, cfg airflow.Config, diameter float64) float64 {
	return airflow.FlowOf(Widened(s.M.Sys, Narrower(s, port, d, diameter), diameter), port, cfg)
}

// Widened is a system with some ducts of such a diameter, m.
func Widened(s *duct.System, ducts []int, diameter float64) *duct.System {
	sys := *s
	sys.Ducts = slices.Clone(s.Ducts)
	for _, d := range ducts {
		sys.Ducts[d].MakeRound(diameter)
	}
	return &sys
}

// Narrower lists the ducts to be replaced for a duct on a port's way to be as
// wide as that, from the port on: those of its own line, or the trunk alone.
func Narrower(s *fit.Study, port, d int, diameter float64) []int {
	return NarrowerOf(s.M, port, d, diameter)
}

// NarrowerOf is Narrower of a model.
func NarrowerOf(m *airflow.Model, port, d int, diameter float64) []int {
	row := route.Own(m, port, route.Trunks(m.Sys))
	if !slices.Contains(row, d) {
		row = []int{d}
	}
	return slices.DeleteFunc(row, func(x int) bool { return m.Sys.Ducts[x].Diameter >= diameter })
}
