package diagnose

import (
	"math"
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/weigh"
	"lostair/readings"
)

// JoinForm is what the law of joins may be off, as a share of the flow that a
// port draws while others draw too. Common practice, no source.
const JoinForm = 0.03

// portFlows are the flows of every connected port in each configuration of the
// survey with its hoses on.
func portFlows(p *weigh.Posterior) []PortFlow {
	var configs []observe.Gates
	seen := map[string]bool{}
	for _, c := range p.G.S.B.Configs {
		if len(c.HoseOff) > 0 {
			c.Config.HoseOff = nil
		}
		if !seen[c.Open.String()] {
			seen[c.Open.String()] = true
			configs = append(configs, c)
		}
	}
	pool, each := p.G.Workers(), make([][]PortFlow, len(configs))
	numeric.ForEach(len(configs), func(i int) {
		each[i] = portFlowsIn(p, pool[i%numeric.Workers], p.Conditioners(i%numeric.Workers), configs[i])
	})
	return slices.Concat(each...)
}

// portFlowsIn are those of one configuration.
func portFlowsIn(p *weigh.Posterior, s *fit.Study, near []*weigh.Conditioner, c observe.Gates) []PortFlow {
	if s.Stopped() {
		return nil
	}
	sets, weight := p.Leading()
	ports, probes := airflow.Connected(s.M, c.Config)
	mix := make([]numeric.Mixture, len(ports))
	form := 0.0
	if len(ports) > 1 {
		form = JoinForm
	}
	sound := make([]float64, len(ports))
	st := s.M.NewState()
	by := make([]*fit.Nearby, len(ports))
	for i, f := range sets {
		for k, port := range ports {
			by[k] = near[i].Near(c.Open, port)
		}
		for k, e := range s.Estimates(st, f, c.Config, probes, false, by) {
			mix[k].Add(weight[i], e.Mean, math.Hypot(e.Sd, form*e.Mean))
		}
		for k, e := range s.Estimates(st, f, c.Config, probes, true, by) {
			sound[k] += weight[i] * e.Mean
		}
	}
	var out []PortFlow
	for k, pt := range ports {
		if len(mix[k].W) == 0 {
			continue
		}
		out = append(out, PortFlow{Port: s.M.Sys.Ports[pt].ID, Open: c.Open,
			Flow:     fault.Interval{Value: mix[k].Quantile(0.5), Low: mix[k].Quantile(0.05), High: mix[k].Quantile(0.95)},
			Expected: sound[k], Need: s.M.Sys.Ports[pt].Need})
	}
	return out
}

// asRead leaves out flows of ports that the page does not have, and in settings
// that were not written down.
func asRead(p *weigh.Posterior, list []PortFlow, survey *readings.Survey) []PortFlow {
	if p.Lead == nil || p.Lead.R == nil {
		return list
	}
	return slices.DeleteFunc(list, func(f PortFlow) bool {
		return f.Port == doubt.AddedPort || !slices.ContainsFunc(survey.Readings, func(r readings.Reading) bool { return r.Open.String() == f.Open.String() })
	})
}
