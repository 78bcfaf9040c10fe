package diagnose

import (
	"math"
	"slices"
	"sort"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/settings"
	"lostair/diagnose/internal/weigh"
)

// addFixes says for each asserted fault what to do and what it would gain, and
// puts all fixes into the order to do them.
func addFixes(p *weigh.Posterior, r *Result) {
	for i := range r.Faults {
		f := &r.Faults[i]
		if f.Kind == fault.ReadingWrong {
			continue
		}
		x := fixFor(p, f, r)
		fromNow(x.Gains, r.Ports)
		f.Fix = &x
		r.Fixes = append(r.Fixes, x)
	}
	inOrder(r)
	r.AllFixed = allFixed(p, r)
}

// fromNow lets each gain start from the flow that the ports are said to have: a
// gain is computed with one fault taken for certain, that flow with all that may
// be wrong, and one port has one flow.
func fromNow(gains []Gain, ports []PortFlow) {
	for i := range gains {
		g := &gains[i]
		k := slices.IndexFunc(ports, func(p PortFlow) bool { return p.Port == g.Port && p.Open.String() == g.Open.String() })
		if k < 0 || g.Before <= 0 {
			continue
		}
		was, now := g.Before, ports[k].Flow.Value
		g.Before, g.After = now, fromAll(now, was, g.After)
	}
}

// toldNear lets a gain start from the flow that readings near the port tell, if they do.
func toldNear(e []fit.Estimate, before, after float64) (b, a float64) {
	if len(e) == 0 || e[0].Mean <= 0 {
		return before, after
	}
	return e[0].Mean, from(e[0].Mean, before, after)
}

// from is what a gain comes to that starts from another flow: its ratio stays.
func from(now, before, after float64) float64 { return after * now / before }

// fromAll is that of an interval.
func fromAll(now, before float64, after fault.Interval) fault.Interval {
	return fault.Interval{Value: from(now, before, after.Value), Low: from(now, before, after.Low), High: from(now, before, after.High)}
}

func fixFor(p *weigh.Posterior, f *Fault, r *Result) Fix {
	x := Fix{For: append([]fault.Candidate{f.Candidate}, f.Alike...)}
	if f.Kind == fault.Undersized {
		return fixUndersized(p, f, x, r.TooSmall)
	}
	x.Cost = costOf(p.G.S.M.Sys, x.For)
	x.Gains = gainsWithout(p, f)
	return x
}

// gainsWithout compares flows with and without a fault at every port, in the
// settings in use.
func gainsWithout(p *weigh.Posterior, f *Fault) []Gain {
	var sites []int
	for _, c := range append([]fault.Candidate{f.Candidate}, f.Alike...) {
		for i, st := range p.G.Sites {
			if st.Kind == c.Kind && st.Where == c.Where {
				sites = append(sites, i)
			}
		}
	}
	set, k := best(p, sites)
	if set == nil {
		return nil
	}
	cured := *set
	cured.Faults = append(append([]*fault.Variant(nil), set.Faults[:k]...), set.Faults[k+1:]...)
	cured.At.Z = append(append([]float64(nil), set.At.Z[:k]...), set.At.Z[k+1:]...)
	out := gains(p, set, &cured)
	sort.SliceStable(out, func(x, y int) bool {
		return out[x].After.Value-out[x].Before > out[y].After.Value-out[y].Before
	})
	return out
}

// gains are those of all ports, in the settings in use.
func gains(p *weigh.Posterior, set, cured *fit.Fit) []Gain {
	ports := p.G.S.M.Sys.Ports
	by := make([][]Gain, len(ports))
	pool := p.G.Workers()
	numeric.OnEachWorker(func(w int) {
		s := pool[w]
		near := p.Whole.Under(s, set)
		for i := w; i < len(ports); i += numeric.Workers {
			for _, use := range settings.JudgedFor(s.M, i) {
				if g, ok := gain(s, set, cured, i, use, near); ok {
					by[i] = append(by[i], g)
				}
			}
		}
	})
	return slices.Concat(by...)
}

// gain is what a port gains in one setting of the gates; false if next to nothing.
func gain(s *fit.Study, set, cured *fit.Fit, port int, use settings.Setting, near *weigh.Conditioner) (Gain, bool) {
	probe := airflow.PortProbe(s.M, port)
	if probe == nil {
		return Gain{}, false
	}
	before := flowsUnder(s, set, use.Cfg, probe)
	after := flowsUnder(s, cured, use.Cfg, probe)
	if before == nil || after == nil {
		return Gain{}, false
	}
	b, a := before[0], after[0]
	if a-b < 0.005*b {
		return Gain{}, false
	}
	by := []*numeric.Nearby{near.Near(use.Open, port)}
	if by[0] != nil {
		b, a = toldNear(s.Estimates(s.M.NewState(), set, use.Cfg, probe, false, by), b, a)
	}
	sd := 0.0
	if e := s.Estimates(s.M.NewState(), set, use.Cfg, probe, true, by); len(e) > 0 {
		sd = e[0].Sd
	}
	p := s.M.Sys.Ports[port]
	return Gain{Port: p.ID, Open: use.Open, Before: b, Need: p.Need, After: *fault.SpanOf(a, sd)}, true
}

// flowsUnder works out probes under a fitted hypothesis, without intervals.
func flowsUnder(s *fit.Study, f *fit.Fit, cfg airflow.Config, probes []airflow.Probe) []float64 {
	s.SetCoefs(f.At, f.Faults)
	st := s.M.NewState()
	if st.Solve(&s.Coef, cfg) != nil {
		return nil
	}
	out := make([]float64, len(probes))
	for i, p := range probes {
		out[i] = st.Value(p)
	}
	return out
}

// fixUndersized: the size to buy, and whether a shorter hose or easier bends
// would do instead.
func fixUndersized(p *weigh.Posterior, f *Fault, x Fix, list []TooSmall) Fix {
	s := p.G.S
	x.Cost = costParts
	t, ok := sizeFor(list, f.Where)
	if !ok {
		return x
	}
	x.Small = &t
	for _, o := range list {
		if o.Where == f.Where && t.Meets { // what falls short is no remedy
			x.Gains = append(x.Gains, Gain{Port: o.Port, Open: o.Open, Before: o.Now.Value, After: o.Then, Need: o.Need})
		}
	}
	d, _ := s.M.Sys.DuctNamed(f.Where)
	port, _ := s.M.Sys.PortNamed(t.Port)
	use, _ := settings.Hardest(s.M, port)
	page := weigh.PageFlow(s, port, d, use.Cfg, 0)
	then := func(flow float64) float64 { return t.Now.Value * flow / math.Max(page, 1e-12) }
	if flow, hoses := pageStretched(s, port, use.Cfg); then(flow) >= t.Need {
		// It costs nothing, and where the hose lies in folds no wider one is as good.
		x.Hint, x.Stretch, x.Cost = CutTheHose, hoses, costMinutes
		x.Gains = []Gain{{Port: t.Port, Open: t.Open, Before: t.Now.Value, Need: t.Need, After: fromAll(flow, page, t.Now)}}
		return x
	}
	for _, h := range []struct {
		change Hint
		flow   float64
	}{
		{HalfTheHose, pageChanged(s, port, d, use.Cfg, 0.5, 1)},
		{PipeForHose, pageChanged(s, port, d, use.Cfg, 1, 0)},
		{EasyBends, pageEasier(s, port, use.Cfg)},
	} {
		if then(h.flow) >= t.Need { // enough by itself
			x.Hint = h.change
			break
		}
	}
	return x
}

// pageChanged is what a port gets by the page with one hose shortened or
// replaced by smooth pipe (flexible 0).
func pageChanged(s *fit.Study, port, d int, cfg airflow.Config, length, flexible float64) float64 {
	sys := *s.M.Sys
	sys.Ducts = slices.Clone(sys.Ducts)
	x := &sys.Ducts[d]
	if len(x.Taps) > 0 || x.Material != "flexible" {
		return 0
	}
	x.Length *= length
	if flexible == 0 {
		x.Material, x.Compressed, x.Lined = "pvc", 0, false
	}
	return airflow.FlowOf(&sys, port, cfg)
}

// pageStretched is what a port gets by the page with every hose on its way stretched
// out, and which hoses those are; 0 if all are.
func pageStretched(s *fit.Study, port int, cfg airflow.Config) (flow float64, hoses []string) {
	sys := *s.M.Sys
	sys.Ducts = slices.Clone(sys.Ducts)
	for d := sys.Ports[port].Duct; d >= 0; d = sys.Ducts[d].Into {
		if x := &sys.Ducts[d]; x.Compressed > 0 {
			x.Compressed, hoses = 0, append(hoses, x.ID)
		}
	}
	if len(hoses) == 0 {
		return 0, nil
	}
	return airflow.FlowOf(&sys, port, cfg), hoses
}

// pageEasier is what a port gets by the page with long-radius bends all the way.
func pageEasier(s *fit.Study, port int, cfg airflow.Config) float64 {
	sys := *s.M.Sys
	sys.Ducts = slices.Clone(sys.Ducts)
	any := false
	for d := sys.Ports[port].Duct; d >= 0; d = sys.Ducts[d].Into {
		f := slices.Clone(sys.Ducts[d].Fittings)
		for i := range f {
			if f[i].Elbow && f[i].Radius < LongRadius {
				f[i].Radius, any = LongRadius, true
			}
		}
		sys.Ducts[d].Fittings = f
	}
	if !any {
		return 0
	}
	return airflow.FlowOf(&sys, port, cfg)
}

// LongRadius is the radius of an easy bend, in diameters.
const LongRadius = 2.5

// allFixed is what all fixes bring together at each port, in the settings in use.
func allFixed(p *weigh.Posterior, r *Result) []Gain {
	if len(r.Fixes) < 2 {
		return nil
	}
	set := p.Sets[0]
	whole := *set
	whole.Faults, whole.At.Z = nil, nil
	out := gains(p, set, &whole)
	fromNow(out, r.Ports)
	for _, t := range r.TooSmall {
		out = widened(out, t, r.Ports)
	}
	sort.SliceStable(out, func(x, y int) bool {
		return out[x].After.Value-out[x].Before > out[y].After.Value-out[y].Before
	})
	return out
}
