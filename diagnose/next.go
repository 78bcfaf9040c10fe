package diagnose

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
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

// Minutes that a reading takes. Common practice, no source.
const (
	minutesTap    = 2.0
	minutesMouth  = 3.0
	minutesHole   = 12.0
	minutesUnhook = 3.0 // on top
)

// rival is a hypothesis with its weight; rivals of one class blame the same places.
type rival struct {
	fit    *fitted
	weight float64
	class  int
}

// next ranks what could be read or looked at next by the information it is
// expected to give about which fault it is, per minute of work.
func (p *posterior) next(r *Result) []Next {
	rivals := p.rivals()
	if classes(rivals) < 2 {
		return nil
	}
	configs, pool := p.nextConfigs(), p.g.workers()
	each := make([][]Next, len(configs))
	inPairs(len(configs), func(i int) { each[i] = p.nextIn(pool[i%workers], configs[i], rivals) })
	out := append(slices.Concat(each...), p.looks(rivals)...)
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

func (p *posterior) rivals() []rival {
	var out []rival
	class := map[string]int{}
	var total float64
	for i, f := range p.sets {
		if len(out) == nextSets || p.weight[i] < 0.005 {
			break
		}
		k := fmt.Sprint(siteSet(f))
		if _, ok := class[k]; !ok {
			class[k] = len(class)
		}
		out = append(out, rival{f, p.weight[i], class[k]})
		total += p.weight[i]
	}
	for i := range out {
		out[i].weight /= total
	}
	return out
}

func siteSet(f *fitted) []int {
	var s []int
	for _, v := range f.faults {
		s = append(s, v.site)
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

// nextConfig is a gate configuration to read in, with the ports it is about.
type nextConfig struct {
	cfg     airflow.Config
	open    readings.Open
	hoseOff []string
	ports   []int
	unhook  float64
}

// nextConfigs: each suspect's own gate alone, with its hose on and off, all
// shut, and all open.
func (p *posterior) nextConfigs() []nextConfig {
	m := p.g.s.m
	var out []nextConfig
	seen := map[int]bool{}
	for _, i := range p.order() {
		if p.site[i] < 0.01 || len(out) >= nextConfigs-2 {
			break
		}
		for _, port := range portsUpstream(m, p.g.sites[i].duct, 2) {
			if seen[port] || len(out) >= nextConfigs-2 {
				continue
			}
			seen[port] = true
			c := nextConfig{cfg: alone(m, port), open: aloneOpen(m, port), ports: []int{port}}
			out = append(out, c)
			if p.site[i] > 0.05 {
				c.cfg.HoseOff = make([]bool, len(m.Sys.Ports))
				c.cfg.HoseOff[port] = true
				c.hoseOff, c.unhook = []string{m.Sys.Ports[port].ID}, minutesUnhook
				out = append(out, c)
			}
		}
	}
	none, _ := m.Configure(false, nil, nil)
	all, _ := m.Configure(true, nil, nil)
	for _, c := range []nextConfig{{cfg: none}, {cfg: all, open: readings.Open{All: true}}} {
		if !slices.ContainsFunc(out, func(o nextConfig) bool { return o.unhook == 0 && slices.Equal(o.cfg.Open, c.cfg.Open) }) {
			out = append(out, c)
		}
	}
	return out
}

// portsUpstream are up to n ports whose air passes a duct; any ports for the collector.
func portsUpstream(m *airflow.Model, d, n int) []int {
	var out []int
	for i, p := range m.Sys.Ports {
		for x := p.Duct; x >= 0 && len(out) < n; x = m.Sys.Ducts[x].Into {
			if x == d || d < 0 {
				out = append(out, i)
				break
			}
		}
	}
	return out
}

// spotToRead is a point with the words and minutes for it.
type spotToRead struct {
	point   string
	q       units.Quantity
	probe   airflow.Probe
	minutes float64
}

// spotsIn lists what can be read along the way of a configuration's ports, and
// near the suspects when all gates are shut or open.
func (p *posterior) spotsIn(c nextConfig) []spotToRead {
	m := p.g.s.m
	ducts := map[int]bool{}
	for _, port := range c.ports {
		for d := m.Sys.Ports[port].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
			ducts[d] = true
		}
	}
	if len(c.ports) == 0 {
		for _, i := range p.order()[:min(12, len(p.site))] {
			for d := p.g.sites[i].duct; d >= 0; d = m.Sys.Ducts[d].Into {
				ducts[d] = true
			}
		}
	}
	var out []spotToRead
	add := func(point string, q units.Quantity, minutes float64) {
		if pr, err := m.ProbeAt(point, q); err == nil {
			out = append(out, spotToRead{point, q, pr, minutes})
		}
	}
	for d := range m.Sys.Ducts {
		if !ducts[d] {
			continue
		}
		for _, t := range m.Sys.Ducts[d].Taps {
			add(t.ID, units.StaticPressure, minutesTap)
		}
		if pr, ok := m.ProbeHole(d); ok && len(c.hoseOff) == 0 {
			out = append(out, spotToRead{"new tap at the upstream end of " + m.Sys.Ducts[d].ID, units.StaticPressure, pr, minutesHole})
		}
	}
	for _, port := range c.ports {
		add(m.Sys.Ports[port].ID, units.MeanVelocity, minutesMouth)
	}
	add(airflow.CollectorInlet, units.StaticPressure, minutesTap)
	add(airflow.FanInlet, units.StaticPressure, minutesTap)
	add(airflow.FilterPoint, units.PressureDrop, minutesTap)
	return out
}

// nextIn rates every spot in one configuration.
func (p *posterior) nextIn(s *study, c nextConfig, rivals []rival) []Next {
	spots := p.spotsIn(c)
	est := make([][]estimate, len(rivals))
	st := s.m.NewState()
	for k, r := range rivals {
		if est[k] = s.foretold(st, r.fit, c.cfg, spots); est[k] == nil {
			return nil
		}
	}
	var out []Next
	for i, sp := range spots {
		mean, sd := make([]float64, len(rivals)), make([]float64, len(rivals))
		for k := range rivals {
			mean[k], sd[k] = est[k][i].mean, est[k][i].sd
		}
		bits := information(rivals, mean, sd)
		if bits < nextLeast/2 {
			continue
		}
		out = append(out, Next{Point: sp.point, Quantity: sp.q, Open: c.open, HoseOff: c.hoseOff, Bits: bits, Minutes: sp.minutes + c.unhook, Why: p.tells(rivals, mean, sd)})
	}
	return out
}

// foretold is what readings yet to be taken should show under a fitted
// hypothesis. They share what is known of their tap, of the instrument and of
// the day, so that what was read already is worth little a second time.
func (s *study) foretold(st *airflow.State, f *fitted, cfg airflow.Config, spots []spotToRead) []estimate {
	s.setCoefs(f.at, f.faults)
	if st.Solve(&s.coef, cfg) != nil {
		return nil
	}
	st.Prepare()
	slopes := make([][]slope, len(f.faults))
	for k, v := range f.faults {
		slopes[k] = v.slopes(&s.coef, f.at.z[k])
	}
	out, wide := make([]estimate, len(spots)), make([]float64, s.all)
	jz := mat.NewDense(1, max(len(f.faults), 1), nil)
	for i, sp := range spots {
		o := s.yetToRead(sp, st.Value(sp.probe))
		row := make([]float64, s.n)
		s.jacobianRow(st, f.at.theta, &o, 0, row, jz, slopes)
		gz := append([]float64(nil), jz.RawRowView(0)[:len(f.faults)]...)
		out[i] = estimate{valueOf(st, f.at.theta, &o, s.day), math.Sqrt(s.variance(f, row, gz) + s.leftOut(s.grad, wide) + o.fresh*o.fresh)}
	}
	return out
}

// yetToRead is the observation that a reading at a spot would be.
func (s *study) yetToRead(sp spotToRead, y float64) obs {
	o := obs{probe: sp.probe, y: y, tapIx: -1, axisIx: -1, gainIx: s.day}
	in := s.instrumentFor(sp.q)
	o.errors(in, sp.q, s.m.Air.Density, 1, 0)
	known := false
	for i, id := range s.b.gains {
		if id == in.id {
			o.gainIx, known = s.own+i, true
		}
	}
	if !known {
		o.fresh, o.gain = o.sd, 0 // an instrument that was not used yet
	}
	if x, ok := s.taps[sp.point]; ok && sp.q == units.StaticPressure {
		o.tapIx = x
	}
	return o
}

// newReadingSD is the error of a reading yet to be taken, with the instrument
// that the survey used for its like.
func (s *study) newReadingSD(sp spotToRead, y float64) float64 {
	in := s.instrumentFor(sp.q)
	return in.sigma(y, sp.q, sp.probe, s.m.Air.Density)
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
func (p *posterior) tells(r []rival, mean, sd []float64) string {
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
	return apart(p.inWords(r[a].fit, r[b].fit), p.inWords(r[b].fit, r[a].fit))
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
func (p *posterior) inWords(f, other *fitted) string {
	for _, v := range f.faults {
		if !holds(other.hypothesis, v.site) {
			s := p.g.sites[v.site]
			return faultWords(s.kind, s.where)
		}
	}
	if len(f.faults) == 0 {
		return "a sound system"
	}
	return ""
}

func faultWords(k Kind, where string) string {
	switch k {
	case Leak:
		return "a leak at " + where
	case Blockage:
		return "a blockage at " + where
	case GateRestricted:
		return "a half-open gate " + where
	case GateLeaking:
		return "a leaking gate " + where
	case FilterLoaded:
		return "a loaded filter"
	}
	return "a weak fan"
}

// look is a check by eye, how long it takes, and how far it can be trusted.
// Common practice, no source.
type look struct {
	what       string
	minutes    float64
	sees, lies float64 // chance to see the fault; to see one that is not there
}

// lookFor is the check by eye for a kind of fault.
func lookFor(k Kind, where string) (look, bool) {
	switch k {
	case GateRestricted:
		return look{"Does the gate " + where + " open to its stop, and is its slot free of dust?", 1, 0.9, 0.05}, true
	case GateLeaking:
		return look{"With the gate " + where + " shut and the fan running, does a strip of paper cling to its mouth?", 1, 0.7, 0.15}, true
	case FilterLoaded:
		return look{"Is the filter caked, or overdue for cleaning?", 3, 0.85, 0.15}, true
	case FanWeak:
		return look{"Power locked off: is the belt tight and the wheel clean? Then, on a short start: does it turn the right way?", 6, 0.8, 0.05}, true
	case Leak:
		if where == "bin" {
			return look{"Is the bin's lid seated and its gasket whole, and does it hiss when all gates are shut?", 2, 0.85, 0.05}, true
		}
		return look{"All gates shut: does " + where + " hiss, or draw in a strip of paper held along its seams and joins?", 3, 0.6, 0.05}, true
	case Blockage:
		return look{"Fan off and locked: look into " + where + " with a torch: chips, a kink, a rag, an offcut?", 4, 0.85, 0.03}, true
	}
	return look{}, false
}

// looks rates the checks by eye for the suspects.
func (p *posterior) looks(r []rival) []Next {
	var out []Next
	for _, i := range p.order() {
		if p.site[i] < 0.02 || len(out) >= 12 {
			break
		}
		s := p.g.sites[i]
		l, ok := lookFor(s.kind, s.where)
		if !ok {
			continue
		}
		out = append(out, Next{Point: s.where, Look: l.what, Bits: l.information(r, i), Minutes: l.minutes, Why: "shows " + faultWords(s.kind, s.where) + " at first sight"})
	}
	return out
}

// information of a look with two outcomes about the class of the hypothesis.
func (l look) information(r []rival, site int) float64 {
	seen := make([]float64, classes(r))
	share := make([]float64, classes(r))
	var yes float64
	for _, x := range r {
		q := l.lies
		if holds(x.fit.hypothesis, site) {
			q = l.sees
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

// instrumentFor is the instrument that a quantity would be read with: the first
// of its kind that the survey used, else the first of the page, else any.
func (s *study) instrumentFor(q units.Quantity) instrumentSpec {
	in := anyManometer
	if measuresOf(q) == units.Velocity {
		in = anyAnemometer
	}
	in.id = in.measures.String()
	found := false
	for _, x := range s.m.Sys.Instruments {
		if x.Measures != measuresOf(q) || found && (usedIn(s.b.gains, in.id) || !usedIn(s.b.gains, x.ID)) {
			continue
		}
		in, found = instrumentSpec{x.ID, x.Measures, x.OfReading, x.Floor}, true
	}
	return in
}

func measuresOf(q units.Quantity) units.Dimension {
	if d := q.Dimension(); d == units.Velocity || d == units.Flow {
		return units.Velocity
	}
	return units.Pressure
}

func usedIn(list []string, id string) bool {
	for _, x := range list {
		if x == id {
			return true
		}
	}
	return false
}
