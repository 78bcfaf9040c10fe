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
	return flowsIn(p, configs)
}

// flowsIn are those of some configurations, in their order. A worker goes from
// port to port, since what the readings near one tell is alike in all of them.
func flowsIn(p *weigh.Posterior, configs []observe.Gates) []PortFlow {
	sets, weight := p.Leading()
	pool, m := p.G.Workers(), p.G.S.M
	if pool[0].Stopped() {
		return nil
	}
	at := make([][2]*fit.FitAt, len(sets)) // with faults, and without
	for i, f := range sets {
		at[i] = [2]*fit.FitAt{pool[0].At(f, false), pool[0].At(f, true)}
	}
	states := make([][][2]*airflow.State, len(configs)) // by configuration and set
	numeric.ForEach(len(configs), func(c int) {
		for i := range sets {
			states[c] = append(states[c], [2]*airflow.State{pool[0].Solved(at[i][0], configs[c].Config), pool[0].Solved(at[i][1], configs[c].Config)})
		}
	})
	probes, many := make([]map[int]airflow.Probe, len(configs)), make([]int, len(configs))
	for c := range configs {
		ports, list := airflow.Connected(m, configs[c].Config)
		probes[c], many[c] = map[int]airflow.Probe{}, len(ports)
		for k, port := range ports {
			probes[c][port] = list[k]
		}
	}
	out := make([][]*PortFlow, len(configs))
	for c := range out {
		out[c] = make([]*PortFlow, len(m.Sys.Ports))
	}
	numeric.OnEachWorker(func(w int) {
		s, near := pool[w], p.Conditioners(w)
		for port := w; port < len(m.Sys.Ports) && !s.Stopped(); port += numeric.Workers {
			for c := range configs {
				probe, ok := probes[c][port]
				if !ok {
					continue
				}
				form := 0.0
				if many[c] > 1 {
					form = JoinForm
				}
				var mix numeric.Mixture
				sound := 0.0
				for i := range sets {
					by := near[i].Near(configs[c].Open, port)
					if st := states[c][i][0]; st != nil {
						e := s.EstimateAt(at[i][0], st, probe, by)
						mix.Add(weight[i], e.Mean, math.Hypot(e.Sd, form*e.Mean))
					}
					if st := states[c][i][1]; st != nil {
						sound += weight[i] * s.EstimateAt(at[i][1], st, probe, by).Mean
					}
				}
				if len(mix.W) == 0 {
					continue
				}
				out[c][port] = &PortFlow{Port: m.Sys.Ports[port].ID, Open: configs[c].Open,
					Flow:     fault.Interval{Value: mix.Quantile(0.5), Low: mix.Quantile(0.05), High: mix.Quantile(0.95)},
					Expected: sound, Need: m.Sys.Ports[port].Need}
			}
		}
	})
	var list []PortFlow
	for c := range out {
		for _, f := range out[c] {
			if f != nil {
				list = append(list, *f)
			}
		}
	}
	return list
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
