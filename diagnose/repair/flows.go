package repair

import (
	"math"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/route"
	"lostair/readings/units"
)

// flows works out each port's flow alone, before and after, and their ratio,
// over the sets that matter. What both surveys share of the error falls out of the ratio.
func (c *comparison) flows(r *Repair) {
	n := len(c.m.Sys.Ports)
	was, is, ratio := make([]numeric.Mixture, n), make([]numeric.Mixture, n), make([]numeric.Mixture, n)
	for i, f := range c.sets {
		if i > 0 && (i >= leadingMost || c.weight[i] < weigh.LeadingLeast) {
			break
		}
		for p := range n {
			a, okA := c.flowAlone(f, p, 0)
			b, okB := c.flowAlone(f, p, 1)
			if !okA || !okB {
				continue
			}
			g, gz := make([]float64, c.p.N), make([]float64, len(f.Faults))
			for x := range g {
				g[x] = b.g[x] - a.g[x]
			}
			for x := range gz {
				gz[x] = b.gz[x] - a.gz[x]
			}
			sd := math.Sqrt(c.p.Variance(f, g, gz))
			was[p].Add(c.weight[i], a.log, math.Sqrt(c.p.Variance(f, a.g, a.gz)))
			is[p].Add(c.weight[i], b.log, math.Sqrt(c.p.Variance(f, b.g, b.gz)))
			ratio[p].Add(c.weight[i], b.log-a.log, math.Hypot(sd, RatioForm))
		}
	}
	for p, port := range c.m.Sys.Ports {
		if len(ratio[p].W) == 0 {
			continue
		}
		r.Ports = append(r.Ports, Port{Port: port.ID, Need: port.Need, Before: expOf(&was[p]), After: expOf(&is[p]), Ratio: expOf(&ratio[p]),
			More: numeric.ClampProbability(1 - ratio[p].Cdf(math.Log(1+MoreFlow)))})
	}
}

const (
	leadingMost = 12 // sets over which flows are mixed
	// RatioForm is what the model may be off in a ratio of two flows, as a share.
	// Common practice, no source.
	RatioForm = 0.002
)

// aloneFlow is the logarithm of a port's flow with its derivatives.
type aloneFlow struct {
	log   float64
	g, gz []float64
}

func (c *comparison) flowAlone(f *fit.Fit, port, k int) (aloneFlow, bool) {
	s := c.p.S[k]
	q, h, ix := c.p.Part(k, f.At, f.Hypothesis)
	s.SetCoefs(q, h.Faults)
	probe, err := c.m.ProbeAt(c.m.Sys.Ports[port].ID, units.FlowRate)
	st := c.m.NewState()
	if err != nil || st.Solve(&s.Coef, route.Alone(c.m, port)) != nil {
		return aloneFlow{}, false
	}
	st.Prepare()
	st.Sensitivity(probe, s.Grad)
	flow := math.Max(st.Value(probe), 1e-9)
	row := make([]float64, s.N)
	s.U.Row(s.Grad, s.Vals, row)
	out := aloneFlow{math.Log(flow), make([]float64, c.p.N), make([]float64, len(f.Faults))}
	for x, v := range row {
		out.g[c.p.Column(k, x)] += v / flow
	}
	for i, v := range h.Faults {
		for _, e := range v.Slopes(&s.Coef, q.Z[i]) {
			out.gz[ix[i]] += *e.Slot.Of(&s.Grad.Coefs) * e.By / flow
		}
	}
	return out, true
}

// expOf is the interval of something of which the logarithm is mixed.
func expOf(n *numeric.Mixture) fault.Interval {
	return fault.Interval{Value: math.Exp(n.Quantile(0.5)), Low: math.Exp(n.Quantile(0.05)), High: math.Exp(n.Quantile(0.95))}
}
