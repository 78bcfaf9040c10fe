package diagnose

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/settings"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/plan"
	"lostair/readings"
	"lostair/readings/units"
)

// Bounds of the search for the next reading.
const (
	nextSets    = 10   // hypotheses that are told apart
	nextConfigs = 10   // gate configurations looked at
	nextShown   = 6    // best few
	nextLeast   = 0.02 // bits below which a reading is not worth its while
	nodes       = 7    // of Gauss–Hermite quadrature
)

// rival is a hypothesis with its weight; rivals of one class blame the same places.
type rival struct {
	fit    *fit.Fit
	weight float64
	class  int
}

// next ranks what could be read or looked at next by the information it is
// expected to give about which fault it is, per minute of work.
func next(p *weigh.Posterior, r *Result) []Next {
	rivals := rivals(p)
	if classes(rivals) < 2 {
		return nil
	}
	configs, pool := configsToRead(p), p.G.Workers()
	each := make([][]Next, len(configs))
	numeric.ForEach(len(configs), func(i int) { each[i] = nextIn(p, pool[i%numeric.Workers], configs[i], rivals) })
	out := append(slices.Concat(each...), looks(p, rivals)...)
	sort.SliceStable(out, func(a, b int) bool { return out[a].Bits/out[a].Minutes > out[b].Bits/out[b].Minutes })
	return spread1(out)
}

// spread1 keeps the best few, at most two at one point.
func spread1(all []Next) []Next {
	var out []Next
	at := map[string]int{}
	for _, n := range all {
		key := n.Point + n.Look
		if n.Bits < nextLeast || at[key] >= 2 {
			continue
		}
		at[key]++
		if out = append(out, n); len(out) == nextShown {
			break
		}
	}
	return out
}

func rivals(p *weigh.Posterior) []rival {
	var out []rival
	class := map[string]int{}
	var total float64
	for i, f := range p.Sets {
		if len(out) == nextSets || p.Weight[i] < 0.005 {
			break
		}
		k := fmt.Sprint(siteSet(f))
		if _, ok := class[k]; !ok {
			class[k] = len(class)
		}
		out = append(out, rival{f, p.Weight[i], class[k]})
		total += p.Weight[i]
	}
	for i := range out {
		out[i].weight /= total
	}
	return out
}

func siteSet(f *fit.Fit) []int {
	var s []int
	for _, v := range f.Faults {
		s = append(s, v.Site)
	}
	sort.Ints(s)
	return s
}

func classes(r []rival) int {
	n := 0
	for _, x := range r {
		n = max(n, x.class+1)
	}
	return n
}

// nextConfigs: each suspect's own gate alone, with its hose on and off, all
// shut, and all open.
func configsToRead(p *weigh.Posterior) []plan.NextConfig {
	m := p.G.S.M
	var out []plan.NextConfig
	seen := map[int]bool{}
	for _, i := range p.Order() {
		if p.Site[i] < 0.01 || len(out) >= nextConfigs-2 {
			break
		}
		for _, port := range airflow.PortsUpstream(m, p.G.Sites[i].Duct, 2) {
			if seen[port] || len(out) >= nextConfigs-2 {
				continue
			}
			seen[port] = true
			c := plan.NextConfig{Cfg: airflow.Alone(m, port), Open: settings.AloneOpen(m, port), Ports: []int{port}}
			out = append(out, c)
			if p.Site[i] > 0.05 {
				c.Cfg.HoseOff = make([]bool, len(m.Sys.Ports))
				c.Cfg.HoseOff[port] = true
				c.HoseOff, c.Unhook = []string{m.Sys.Ports[port].ID}, plan.MinutesUnhook
				out = append(out, c)
			}
		}
	}
	none, _ := m.Configure(false, nil, nil)
	all, _ := m.Configure(true, nil, nil)
	for _, c := range []plan.NextConfig{{Cfg: none}, {Cfg: all, Open: readings.Open{All: true}}} {
		if !slices.ContainsFunc(out, func(o plan.NextConfig) bool { return o.Unhook == 0 && slices.Equal(o.Cfg.Open, c.Cfg.Open) }) {
			out = append(out, c)
		}
	}
	return out
}

// spotsIn lists what can be read along the way of a configuration's ports, and
// near the suspects when all gates are shut or open.
func spotsIn(p *weigh.Posterior, c plan.NextConfig) []plan.SpotToRead {
	m := p.G.S.M
	ducts := map[int]bool{}
	for _, port := range c.Ports {
		for d := m.Sys.Ports[port].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
			ducts[d] = true
		}
	}
	if len(c.Ports) == 0 {
		for _, i := range p.Order()[:min(12, len(p.Order()))] {
			for d := p.G.Sites[i].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
				ducts[d] = true
			}
		}
	}
	var out []plan.SpotToRead
	add := func(point string, q units.Quantity, minutes float64) {
		if pr, err := m.ProbeAt(point, q); err == nil {
			out = append(out, plan.SpotToRead{Point: point, Q: q, Probe: pr, Minutes: minutes})
		}
	}
	for d := range m.Sys.Ducts {
		if !ducts[d] {
			continue
		}
		for _, t := range m.Sys.Ducts[d].Taps {
			add(t.ID, units.StaticPressure, plan.MinutesTap)
		}
		if pr, ok := m.ProbeHole(d); ok && len(c.HoseOff) == 0 {
			out = append(out, plan.SpotToRead{Point: "new tap at the upstream end of " + m.Sys.Ducts[d].ID, Q: units.StaticPressure, Probe: pr, Minutes: plan.MinutesHole})
		}
	}
	for _, port := range c.Ports {
		add(m.Sys.Ports[port].ID, units.MeanVelocity, plan.MinutesMouth)
	}
	add(airflow.CollectorInlet, units.StaticPressure, plan.MinutesTap)
	add(airflow.FanInlet, units.StaticPressure, plan.MinutesTap)
	add(airflow.FilterPoint, units.PressureDrop, plan.MinutesTap)
	return out
}

// nextIn rates every spot in one configuration.
func nextIn(p *weigh.Posterior, s *fit.Study, c plan.NextConfig, rivals []rival) []Next {
	spots := spotsIn(p, c)
	est := make([][]fit.Estimate, len(rivals))
	st := s.M.NewState()
	for k, r := range rivals {
		if est[k] = foretold(s, st, r.fit, c.Cfg, spots); est[k] == nil {
			return nil
		}
	}
	var out []Next
	for i, sp := range spots {
		mean, sd := make([]float64, len(rivals)), make([]float64, len(rivals))
		for k := range rivals {
			mean[k], sd[k] = est[k][i].Mean, est[k][i].Sd
		}
		bits := information(rivals, mean, sd)
		if bits < nextLeast/2 {
			continue
		}
		out = append(out, Next{Point: sp.Point, Quantity: sp.Q, Open: c.Open, HoseOff: c.HoseOff, Bits: bits, Minutes: sp.Minutes + c.Unhook, Why: tells(p, rivals, mean, sd)})
	}
	return out
}

// foretold is what readings yet to be taken should show under a fitted
// hypothesis. They share what is known of their tap, of the instrument and of
// the day, so that what was read already is worth little a second time.
func foretold(s *fit.Study, st *airflow.State, f *fit.Fit, cfg airflow.Config, spots []plan.SpotToRead) []fit.Estimate {
	s.SetCoefs(f.At, f.Faults)
	if st.Solve(&s.Coef, cfg) != nil {
		return nil
	}
	st.Prepare()
	slopes := make([][]fault.Slope, len(f.Faults))
	for k, v := range f.Faults {
		slopes[k] = v.Slopes(&s.Coef, f.At.Z[k])
	}
	out, wide := make([]fit.Estimate, len(spots)), make([]float64, s.All)
	jz := mat.NewDense(1, max(len(f.Faults), 1), nil)
	for i, sp := range spots {
		o := plan.YetToRead(s, sp, st.Value(sp.Probe))
		row := make([]float64, s.N)
		s.JacobianRow(st, f.At.Theta, &o, 0, row, jz, slopes)
		gz := append([]float64(nil), jz.RawRowView(0)[:len(f.Faults)]...)
		out[i] = fit.Estimate{Mean: fit.ValueOf(st, f.At.Theta, &o, s.Day), Sd: math.Sqrt(s.Variance(f, row, gz) + s.LeftOut(s.Grad, wide) + o.Fresh*o.Fresh)}
	}
	return out
}

// information is the mutual information in bits between the class of the
// hypothesis and a reading that is normal under each rival.
func information(r []rival, mean, sd []float64) float64 {
	x, w := make([]float64, nodes), make([]float64, nodes)
	quad.Hermite{}.FixedLocations(x, w, math.Inf(-1), math.Inf(1))
	share := make([]float64, classes(r))
	for _, v := range r {
		share[v.class] += v.weight
	}
	byClass := make([]float64, len(share))
	var bits float64
	for k := range r {
		for j := range x {
			y := mean[k] + math.Sqrt2*sd[k]*x[j]
			clear(byClass)
			var all float64
			for l := range r {
				z := (y - mean[l]) / sd[l]
				d := r[l].weight * math.Exp(-0.5*z*z) / sd[l]
				byClass[r[l].class] += d
				all += d
			}
			own := byClass[r[k].class] / share[r[k].class]
			if own > 0 && all > 0 {
				bits += r[k].weight * w[j] / math.SqrtPi * math.Log2(own/all)
			}
		}
	}
	return math.Max(bits, 0)
}

// tells names the two classes that a reading sets apart best.
func tells(p *weigh.Posterior, r []rival, mean, sd []float64) string {
	best, a, b := -1.0, 0, 0
	for i := range r {
		for j := range r {
			if r[i].class >= r[j].class {
				continue
			}
			z := math.Abs(mean[i]-mean[j]) / math.Hypot(sd[i], sd[j])
			if v := r[i].weight * r[j].weight * math.Min(z, 4); v > best {
				best, a, b = v, i, j
			}
		}
	}
	return apart(inWords(p, r[a].fit, r[b].fit), inWords(p, r[b].fit, r[a].fit))
}

// apart says what a reading tells of two sets; one that blames nothing of its
// own is "".
func apart(a, b string) string {
	if a == "" {
		a, b = b, a
	}
	switch {
	case a == "":
		return ""
	case b == "":
		return "tells whether there is " + a + " as well"
	}
	return fmt.Sprintf("tells %s from %s", a, b)
}

// inWords names what a set blames and another does not, or "".
func inWords(p *weigh.Posterior, f, other *fit.Fit) string {
	for _, v := range f.Faults {
		if !weigh.Holds(other.Hypothesis, v.Site) {
			s := p.G.Sites[v.Site]
			return faultWords(s.Kind, s.Where)
		}
	}
	if len(f.Faults) == 0 {
		return "a sound system"
	}
	return ""
}

func faultWords(k fault.Kind, where string) string {
	switch k {
	case fault.Leak:
		return "a leak at " + where
	case fault.Blockage:
		return "a blockage at " + where
	case fault.GateRestricted:
		return "a half-open gate " + where
	case fault.GateLeaking:
		return "a leaking gate " + where
	case fault.FilterLoaded:
		return "a loaded filter"
	}
	return "a weak fan"
}

// look is a check by eye, how long it takes, and how far it can be trusted.
// Common practice, no source.
type look struct {
	what       string
	Minutes    float64
	Sees, Lies float64 // chance to see the fault; to see one that is not there
}

// LookFor is the check by eye for a kind of fault.
func LookFor(k fault.Kind, where string) (look, bool) {
	switch k {
	case fault.GateRestricted:
		return look{"Does the gate " + where + " open to its stop, and is its slot free of dust?", 1, 0.9, 0.05}, true
	case fault.GateLeaking:
		return look{"With the gate " + where + " shut and the fan running, does a strip of paper cling to its mouth?", 1, 0.7, 0.15}, true
	case fault.FilterLoaded:
		return look{"Is the filter caked, or overdue for cleaning?", 3, 0.85, 0.15}, true
	case fault.FanWeak:
		return look{"Power locked off: is the belt tight and the wheel clean? Then, on a short start: does it turn the right way?", 6, 0.8, 0.05}, true
	case fault.Leak:
		if where == "bin" {
			return look{"Is the bin's lid seated and its gasket whole, and does it hiss when all gates are shut?", 2, 0.85, 0.05}, true
		}
		return look{"All gates shut: does " + where + " hiss, or draw in a strip of paper held along its seams and joins?", 3, 0.6, 0.05}, true
	case fault.Blockage:
		return look{"Fan off and locked: look into " + where + " with a torch: chips, a kink, a rag, an offcut?", 4, 0.85, 0.03}, true
	}
	return look{}, false
}

// looks rates the checks by eye for the suspects.
func looks(p *weigh.Posterior, r []rival) []Next {
	var out []Next
	for _, i := range p.Order() {
		if p.Site[i] < 0.02 || len(out) >= 12 {
			break
		}
		s := p.G.Sites[i]
		l, ok := LookFor(s.Kind, s.Where)
		if !ok {
			continue
		}
		out = append(out, Next{Point: s.Where, Look: l.what, Bits: l.information(r, i), Minutes: l.Minutes, Why: "shows " + faultWords(s.Kind, s.Where) + " at first sight"})
	}
	return out
}

// information of a look with two outcomes about the class of the hypothesis.
func (l look) information(r []rival, site int) float64 {
	seen := make([]float64, classes(r))
	share := make([]float64, classes(r))
	var yes float64
	for _, x := range r {
		q := l.Lies
		if weigh.Holds(x.fit.Hypothesis, site) {
			q = l.Sees
		}
		seen[x.class] += x.weight * q
		share[x.class] += x.weight
		yes += x.weight * q
	}
	h := entropy2(yes)
	for c, s := range share {
		if s > 0 {
			h -= s * entropy2(seen[c]/s)
		}
	}
	return math.Max(h, 0)
}

func entropy2(p float64) float64 {
	if p <= 0 || p >= 1 {
		return 0
	}
	return -p*math.Log2(p) - (1-p)*math.Log2(1-p)
}
