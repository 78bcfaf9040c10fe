package diagnose

import (
	"math"

	"lostair/readings/units"
)

// flows works out each port's flow alone, before and after, and their ratio,
// over the sets that matter. What both surveys share of the error falls out of the ratio.
func (c *comparison) flows(r *Repair) {
	n := len(c.m.Sys.Ports)
	was, is, ratio := make([]normalMix, n), make([]normalMix, n), make([]normalMix, n)
	for i, f := range c.sets {
		if i > 0 && (i >= leadingMost || c.weight[i] < leadingLeast) {
			break
		}
		for p := range n {
			a, okA := c.flowAlone(f, p, 0)
			b, okB := c.flowAlone(f, p, 1)
			if !okA || !okB {
				continue
			}
			g, gz := make([]float64, c.p.n), make([]float64, len(f.faults))
			for x := range g {
				g[x] = b.g[x] - a.g[x]
			}
			for x := range gz {
				gz[x] = b.gz[x] - a.gz[x]
			}
			sd := math.Sqrt(c.p.variance(f, g, gz))
			was[p].add(c.weight[i], a.log, math.Sqrt(c.p.variance(f, a.g, a.gz)))
			is[p].add(c.weight[i], b.log, math.Sqrt(c.p.variance(f, b.g, b.gz)))
			ratio[p].add(c.weight[i], b.log-a.log, math.Hypot(sd, ratioForm))
		}
	}
	for p, port := range c.m.Sys.Ports {
		if len(ratio[p].w) == 0 {
			continue
		}
		r.Ports = append(r.Ports, RepairPort{Port: port.ID, Need: port.Need, Before: expOf(&was[p]), After: expOf(&is[p]), Ratio: expOf(&ratio[p]),
			More: clampP(1 - ratio[p].cdf(math.Log(1+moreFlow)))})
	}
}

const (
	leadingMost = 12 // sets over which flows are mixed
	// ratioForm is what the model may be off in a ratio of two flows, as a share.
	// Common practice, no source.
	ratioForm = 0.002
)

// aloneFlow is the logarithm of a port's flow with its derivatives.
type aloneFlow struct {
	log   float64
	g, gz []float64
}

func (c *comparison) flowAlone(f *pairFit, port, k int) (aloneFlow, bool) {
	s := c.p.s[k]
	q, h, ix := c.p.part(k, f)
	s.setCoefs(q, h.faults)
	probe, err := c.m.ProbeAt(c.m.Sys.Ports[port].ID, units.FlowRate)
	st := c.m.NewState()
	if err != nil || st.Solve(&s.coef, alone(c.m, port)) != nil {
		return aloneFlow{}, false
	}
	st.Prepare()
	st.Sensitivity(probe, s.grad)
	flow := math.Max(st.Value(probe), 1e-9)
	row := make([]float64, s.n)
	s.u.row(s.grad, s.vals, row)
	out := aloneFlow{math.Log(flow), make([]float64, c.p.n), make([]float64, len(f.faults))}
	for x, v := range row {
		out.g[c.p.column(k, x)] += v / flow
	}
	for i, v := range h.faults {
		for _, e := range v.slopes(&s.coef, q.z[i]) {
			out.gz[ix[i]] += *e.slot.Of(&s.grad.Coefs) * e.by / flow
		}
	}
	return out, true
}

// expOf is the interval of something of which the logarithm is mixed.
func expOf(n *normalMix) Interval {
	return Interval{math.Exp(n.quantile(0.5)), math.Exp(n.quantile(0.05)), math.Exp(n.quantile(0.95))}
}

// slipOf names the slip that explains an observation set aside, if there is one.
func slipOf(ways []*wrong, obs int, o *obs, fits float64) string {
	near, reason := math.Inf(1), ""
	for _, w := range ways {
		if w.obs != obs || w.drop || w.cfg >= 0 {
			continue
		}
		allow := nearSlip + 2*math.Sqrt2*w.fresh/math.Max(math.Abs(fits), 1e-9)
		if d := math.Abs(w.y-fits) / math.Max(math.Abs(fits), 1e-9); d < allow && d < near {
			near, reason = d, w.reason
		}
	}
	return reason
}

// nearSlip is how near a slip must come to what fits, as a share.
const nearSlip = 0.05
