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
	"lostair/diagnose/route"
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
	x := flowing{p: p, s: p.G.Workers()[0]}
	if x.s.Stopped() {
		return nil
	}
	x.solve(configs)
	out := make([][]*PortFlow, len(configs)) // by configuration and port
	for c := range out {
		out[c] = make([]*PortFlow, len(x.s.M.Sys.Ports))
	}
	// A worker goes from port to port: what the readings near one tell is alike in all
	// configurations.
	numeric.OnEachWorker(func(w int) {
		s, near := p.G.Workers()[w], p.Conditioners(w)
		for port := w; port < len(s.M.Sys.Ports) && !s.Stopped(); port += numeric.Workers {
			for c := range x.in {
				out[c][port] = x.flow(s, near, port, &x.in[c])
			}
		}
	})
	var list []PortFlow
	for _, f := range slices.Concat(out...) {
		if f != nil {
			list = append(list, *f)
		}
	}
	return list
}

// flowing is what the flows of all ports are worked out from.
type flowing struct {
	p      *weigh.Posterior
	s      *fit.Study
	sets   []*fit.Fit
	weight []float64
	at     [][2]*fit.FitAt // of each set: with its faults, and without
	in     []solvedIn
}

// solvedIn is the system of each set, solved in one configuration.
type solvedIn struct {
	open   readings.Open
	probes map[int]airflow.Probe // of the flows of the ports connected
	states [][2]*airflow.State   // as flowing.at
}

func (x *flowing) solve(configs []observe.Gates) {
	x.sets, x.weight = x.p.Leading()
	for _, f := range x.sets {
		x.at = append(x.at, [2]*fit.FitAt{x.s.At(f, false), x.s.At(f, true)})
	}
	x.in = make([]solvedIn, len(configs))
	numeric.ForEach(len(configs), func(i int) {
		c, in := configs[i].Config, &x.in[i]
		in.open, in.probes = configs[i].Open, map[int]airflow.Probe{}
		ports, list := route.Connected(x.s.M, c)
		for k, port := range ports {
			in.probes[port] = list[k]
		}
		for _, at := range x.at {
			in.states = append(in.states, [2]*airflow.State{x.s.Solved(at[0], c), x.s.Solved(at[1], c)})
		}
	})
}

// flow is that of one port in one configuration; nil if it draws none or that can't be solved.
func (x *flowing) flow(s *fit.Study, near []*weigh.Conditioner, port int, in *solvedIn) *PortFlow {
	probe, ok := in.probes[port]
	if !ok {
		return nil
	}
	form := 0.0
	if len(in.probes) > 1 {
		form = JoinForm
	}
	var mix numeric.Mixture
	sound := 0.0
	for i, st := range in.states {
		by := near[i].Near(in.open, port)
		if st[0] != nil {
			e := s.EstimateAt(x.at[i][0], st[0], probe, by)
			mix.Add(x.weight[i], e.Mean, math.Hypot(e.Sd, form*e.Mean))
		}
		if st[1] != nil {
			sound += x.weight[i] * s.MeanAt(x.at[i][1], st[1], probe, by)
		}
	}
	if len(mix.W) == 0 {
		return nil
	}
	return &PortFlow{Port: s.M.Sys.Ports[port].ID, Open: in.open,
		Flow:     fault.Interval{Value: mix.Quantile(0.5), Low: mix.Quantile(0.05), High: mix.Quantile(0.95)},
		Expected: sound, Need: s.M.Sys.Ports[port].Need}
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
