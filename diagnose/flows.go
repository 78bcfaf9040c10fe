package diagnose

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/readings/units"
)

// reach says for a configuration which ports are connected to the collector.
func reach(m *airflow.Model, c airflow.Config) []bool {
	out := make([]bool, len(m.Sys.Ports))
	for i, p := range m.Sys.Ports {
		ok := true
		for d := p.Duct; d >= 0; d = m.Sys.Ducts[d].Into {
			if g := m.Sys.Ducts[d].Gate; g != "" {
				if k, found := m.GateIndex(g); found && !c.Open[k] {
					ok = false
				}
			}
		}
		out[i] = ok
	}
	return out
}

// quantityAt is a flow worked out from a fitted hypothesis, with its standard deviation.
type estimate struct{ mean, sd float64 }

// estimates works out probes in one configuration under a fitted hypothesis,
// with a state that may have solved its like before; without says to take the
// faults away. What readings near a probe tell may be nil, for one or for all.
func (s *study) estimates(st *airflow.State, f *fitted, cfg airflow.Config, probes []airflow.Probe, without bool, by []*nearby) []estimate {
	faults := f.faults
	if without {
		faults = nil
	}
	s.setCoefs(f.at, faults)
	if st.Solve(&s.coef, cfg) != nil {
		return nil
	}
	st.Prepare()
	out := make([]estimate, len(probes))
	row, wide := make([]float64, s.n), make([]float64, s.all)
	for i, p := range probes {
		st.Sensitivity(p, s.grad)
		clear(row)
		s.u.row(s.grad, s.vals, row)
		gz := make([]float64, len(f.faults))
		for k, v := range faults {
			for _, e := range v.slopes(&s.coef, f.at.z[k]) {
				gz[k] += *e.slot.Of(&s.grad.Coefs) * e.by
			}
		}
		mean, v := st.Value(p), s.variance(f, row, gz)+s.leftOut(s.grad, wide)
		if by != nil {
			shift, less := by[i].on(row, gz, wide)
			mean, v = mean+shift, max(v-less, minVariance)
		}
		out[i] = estimate{mean, math.Sqrt(v)}
	}
	return out
}

// variance is the posterior variance of a quantity with gradient g by θ and gz by z.
func (s *study) variance(f *fitted, g, gz []float64) float64 {
	cg := s.cov(mat.NewVecDense(s.n, g))
	v := mat.Dot(cg, mat.NewVecDense(s.n, g))
	for k := range gz {
		sd := severities[f.faults[k].kind].sd
		v += gz[k] * gz[k] * sd * sd
	}
	return math.Max(v-solveDot(&f.fit.chol, s.withReadings(f, cg, gz)), minVariance)
}

const minVariance = 1e-18 // for rounding

// withReadings is the prior covariance of the readings with a quantity of which
// cg is that with the parameters, and gz the gradient by the severities.
func (s *study) withReadings(f *fitted, cg *mat.VecDense, gz []float64) *mat.VecDense {
	t := mat.NewVecDense(len(s.obs), nil)
	for i := range s.obs {
		t.SetVec(i, f.fit.times(i, cg.RawVector().Data))
	}
	for k := range gz {
		sd := severities[f.faults[k].kind].sd
		for i := range s.obs {
			t.SetVec(i, t.AtVec(i)+f.fit.jz.At(i, k)*sd*sd*gz[k])
		}
	}
	return t
}

// covarianceWith is the posterior covariance of a quantity with gradient g and gz
// with others, as a function of their gradients: that of each more costs little.
func (s *study) covarianceWith(f *fitted, g, gz []float64) func(h, hz []float64) float64 {
	cg := s.cov(mat.NewVecDense(s.n, g))
	a := mat.NewVecDense(len(s.obs), nil)
	if !solved(f.fit.chol.SolveVecTo(a, s.withReadings(f, cg, gz))) {
		a.Zero()
	}
	d := *f.fit
	d.alpha = a
	cg.SubVec(cg, s.cov(d.back(s.n)))
	z := make([]float64, len(gz))
	for k := range gz {
		sd := severities[f.faults[k].kind].sd
		z[k] = sd * sd * (gz[k] - mat.Dot(f.fit.jz.ColView(k), a))
	}
	return func(h, hz []float64) float64 {
		return floats.Dot(cg.RawVector().Data, h) + floats.Dot(z, hz)
	}
}

// leading are the sets that matter for estimates.
func (p *posterior) leading() (sets []*fitted, weight []float64) {
	var total float64
	for i, f := range p.sets {
		if len(sets) >= 8 || (len(sets) > 0 && p.weight[i] < 0.01) {
			break
		}
		sets, weight = append(sets, f), append(weight, p.weight[i])
		total += p.weight[i]
	}
	for i := range weight {
		weight[i] /= math.Max(total, 1e-300)
	}
	return sets, weight
}

// joinForm is what the law of joins may be off, as a share of the flow that a
// port draws while others draw too. Common practice, no source.
const joinForm = 0.03

// portFlows are the flows of every connected port in each configuration of the
// survey with its hoses on.
func (p *posterior) portFlows() []PortFlow {
	var configs []config
	seen := map[string]bool{}
	for _, c := range p.g.s.b.configs {
		if len(c.hoseOff) > 0 {
			c.Config.HoseOff = nil
		}
		if !seen[c.open.String()] {
			seen[c.open.String()] = true
			configs = append(configs, c)
		}
	}
	pool, each := p.g.workers(), make([][]PortFlow, len(configs))
	inPairs(len(configs), func(i int) { each[i] = p.portFlowsIn(pool[i%workers], p.tellers(i%workers), configs[i]) })
	return slices.Concat(each...)
}

// portFlowsIn are those of one configuration.
func (p *posterior) portFlowsIn(s *study, near []*teller, c config) []PortFlow {
	sets, weight := p.leading()
	ports, probes := connected(s.m, c.Config)
	mix := make([]normalMix, len(ports))
	form := 0.0
	if len(ports) > 1 {
		form = joinForm
	}
	sound := make([]float64, len(ports))
	st := s.m.NewState()
	by := make([]*nearby, len(ports))
	for i, f := range sets {
		for k, port := range ports {
			by[k] = near[i].near(c.open, port)
		}
		for k, e := range s.estimates(st, f, c.Config, probes, false, by) {
			mix[k].add(weight[i], e.mean, math.Hypot(e.sd, form*e.mean))
		}
		for k, e := range s.estimates(st, f, c.Config, probes, true, by) {
			sound[k] += weight[i] * e.mean
		}
	}
	var out []PortFlow
	for k, pt := range ports {
		if len(mix[k].w) == 0 {
			continue
		}
		out = append(out, PortFlow{Port: s.m.Sys.Ports[pt].ID, Open: c.open,
			Flow:     Interval{mix[k].quantile(0.5), mix[k].quantile(0.05), mix[k].quantile(0.95)},
			Expected: sound[k], Need: s.m.Sys.Ports[pt].Need})
	}
	return out
}

func connected(m *airflow.Model, c airflow.Config) (ports []int, probes []airflow.Probe) {
	for i, ok := range reach(m, c) {
		if !ok {
			continue
		}
		if pr, err := m.ProbeAt(m.Sys.Ports[i].ID, units.FlowRate); err == nil {
			ports, probes = append(ports, i), append(probes, pr)
		}
	}
	return ports, probes
}
