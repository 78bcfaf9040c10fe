package diagnose

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/settings"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/plan"
	"lostair/readings"
	"lostair/readings/units"
)

// Bounds of the search for the next reading.
const (
	nextSets    = 16   // hypotheses that are told apart
	nextSetsBig = 10   // of a large plant
	bigPlant    = 40   // ports
	nextConfigs = 10   // gate configurations looked at
	nextShown   = 8    // best few
	nextLeast   = 0.02 // bits below which a reading is not worth its while
	nodes       = 7    // of Gauss–Hermite quadrature
)

// rival is a hypothesis with its weight; rivals of one class blame the same places.
type rival struct {
	fit    *fit.Fit
	weight float64
	class  int
	fine   float64 // chance that its faults, if any, don't matter to what was read
}

// next ranks what could be read or looked at next by what it is expected to
// change in what to do first, per minute of work, and says whether that is
// worth its minutes.
func next(p *weigh.Posterior, r *Result) ([]Next, Enough) {
	matter := matter(p)
	risk, act := risk(p, r, matter)
	rivals := rivals(p, matter)
	if classes(rivals) < 2 {
		return nil, Enough{Yes: risk < open, Risk: risk, Act: act}
	}
	c := newChooser(rivals, acts(p, rivals), standing(p))
	pay, others := worthAsking(p, c, configsToRead(p, true), risk)
	if len(pay) == 0 && risk >= stillOpen && len(p.G.S.M.Sys.Settings) > 0 { // nothing in use tells it
		pay, others = worthAsking(p, c, configsToRead(p, false), risk)
	}
	return append(pay, others...), Enough{Yes: len(pay) == 0, Risk: risk, Act: act}
}

// worthAsking ranks what can be asked in some settings of the gates: what is worth its
// minutes, and what is not.
func worthAsking(p *weigh.Posterior, c *chooser, configs []plan.NextConfig, risk float64) (pay, others []Next) {
	asks := asks(p, c, configs)
	best := spread1(asks, c.rank(asks))
	soundRanges(p, best)
	for i := range best {
		n := best[i].Next
		n.Minutes = c.at.minutes(&best[i])
		if n.Pays = best[i].gain > 0 || risk >= stillOpen && best[i].decides >= hardlyTells; n.Pays {
			pay = append(pay, n)
		} else {
			others = append(others, n)
		}
	}
	return pay, others
}

// The choice looks a few readings ahead, and what only a longer round would show is
// out of its sight. So it does not say that it is enough while much is still open
// and a reading would still tell. Own choice.
const (
	stillOpen   = 0.08 // risk from which much is open
	hardlyTells = 0.03 // bits of what to do below which a reading tells next to nothing
	open        = 0.5  // risk from which nothing is known
)

// asks lists what could be read or looked at, with what each rival says of it.
func asks(p *weigh.Posterior, c *chooser, configs []plan.NextConfig) []ask {
	pool := p.G.Workers()
	each := make([][]ask, len(configs))
	numeric.ForEach(len(configs), func(i int) { each[i] = nextIn(p, pool[i%numeric.Workers], configs[i], c) })
	return append(slices.Concat(each...), looks(p, c)...)
}

// acts are the things to do first: nothing, or to mend one group of places that ask
// for the same remedy; by act and rival the chance that it is right. A fan and a leak
// that the readings so far don't tell apart are two acts: a further reading may.
func acts(p *weigh.Posterior, rivals []rival) [][]float64 {
	out := [][]float64{make([]float64, len(rivals))}
	for k, r := range rivals {
		out[0][k] = r.fine
	}
	for _, g := range p.Groups() {
		for _, members := range byKind(p, g.Members) {
			row, any := make([]float64, len(rivals)), false
			for k, r := range rivals {
				if weigh.HoldsAny(r.fit.Hypothesis, members) {
					row[k], any = 1, true
				}
			}
			if any {
				out = append(out, row)
			}
		}
	}
	return out
}

// byKind parts the members of a group by their kind, in order.
func byKind(p *weigh.Posterior, members []int) [][]int {
	var out [][]int
	at := map[fault.Kind]int{}
	for _, m := range members {
		k := p.G.Sites[m].Kind
		if _, ok := at[k]; !ok {
			at[k] = len(out)
			out = append(out, nil)
		}
		out[at[k]] = append(out[at[k]], m)
	}
	return out
}

// ofHead is the share of a group's chance that its places of the kind that leads have.
func ofHead(p *weigh.Posterior, c fault.Candidate) float64 {
	for _, g := range p.Groups() {
		if s := p.G.Sites[g.Head]; s.Kind != c.Kind || s.Where != c.Where {
			continue
		}
		first := byKind(p, g.Members)[0]
		var any, head float64
		for i, f := range p.Sets {
			if weigh.HoldsAny(f.Hypothesis, g.Members) {
				any += p.Weight[i]
			}
			if weigh.HoldsAny(f.Hypothesis, first) {
				head += p.Weight[i]
			}
		}
		if any > 0 {
			return head / any
		}
	}
	return 1
}

// risk is the chance that what the result says to do first is not right, and
// what that is.
func risk(p *weigh.Posterior, r *Result, matter []float64) (float64, *fault.Candidate) {
	for i := range r.Faults {
		if f := &r.Faults[i]; OfSystem(*f) {
			return numeric.ClampProbability(1 - f.Together*ofHead(p, f.Candidate)), &f.Candidate
		}
	}
	risk := p.Unlisted
	for i, w := range p.Weight {
		risk += w * matter[i]
	}
	alone := matterAlone(p, matter)
	for i, x := range p.G.Rest {
		if p.Rest[i] > 0 {
			risk += p.Rest[i] * restMatters(x.Faults, alone)
		}
	}
	return numeric.ClampProbability(risk), nil
}

// matterAlone is for each place how likely it is that a fault there matters which
// is alone, as far as such sets were looked into.
func matterAlone(p *weigh.Posterior, matter []float64) map[int]float64 {
	sum, all := map[int]float64{}, map[int]float64{}
	for i, f := range p.Sets {
		if len(f.Faults) == 1 && p.Weight[i] >= mattersLeast {
			site := f.Faults[0].Site
			sum[site] += p.Weight[i] * matter[i]
			all[site] += p.Weight[i]
		}
	}
	for site := range sum {
		sum[site] /= all[site]
	}
	return sum
}

// restMatters is how likely it is that a set matters which was only screened: that
// one of its faults does.
func restMatters(faults []*fault.Variant, alone map[int]float64) float64 {
	none := 1.0
	for _, v := range faults {
		m, ok := alone[v.Site]
		if !ok {
			m = RestMatters
		}
		none *= 1 - m
	}
	return 1 - none
}

// RestMatters is how likely it is that a fault of a set matters which was only
// screened, where it was not looked into alone.
const RestMatters = 0.5

// spread1 keeps the best few, at most two at one point.
func spread1(all []ask, order []int) []ask {
	var out []ask
	at := map[string]int{}
	for _, i := range order {
		a := all[i]
		if a.Bits < nextLeast || at[a.Point] >= 2 {
			continue
		}
		at[a.Point]++
		if out = append(out, a); len(out) == nextShown {
			break
		}
	}
	return out
}

func rivals(p *weigh.Posterior, matter []float64) []rival {
	var out []rival
	class := map[string]int{}
	var total float64
	most := nextSets
	if len(p.G.S.M.Sys.Ports) > bigPlant {
		most = nextSetsBig
	}
	for i, f := range p.Sets {
		if len(out) == most || p.Weight[i] < 0.005 {
			break
		}
		k := fmt.Sprint(siteSet(f))
		if _, ok := class[k]; !ok {
			class[k] = len(class)
		}
		out = append(out, rival{f, p.Weight[i], class[k], 1 - matter[i]})
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

// configsToRead are each suspect's own gate alone, with its hose on and off, all shut,
// and all open. With inUse, what the system file says is in use stands in place of what
// it doesn't: of a gate alone the setting nearest to that, of all open those with
// several gates.
func configsToRead(p *weigh.Posterior, inUse bool) []plan.NextConfig {
	m := p.G.S.M
	inUse = inUse && len(m.Sys.Settings) > 0
	var out []plan.NextConfig
	add := func(c plan.NextConfig) {
		i := slices.IndexFunc(out, func(o plan.NextConfig) bool {
			return slices.Equal(o.Cfg.Open, c.Cfg.Open) && slices.Equal(o.HoseOff, c.HoseOff)
		})
		switch {
		case i < 0 || !inUse && len(c.Ports) > 0:
			out = append(out, c)
		case inUse: // one setting reads several ports
			out[i].Ports = append(out[i].Ports, c.Ports...)
		}
	}
	seen := map[int]bool{}
	for _, i := range p.Order() {
		if p.Site[i] < 0.01 || len(out) >= nextConfigs-2 {
			break
		}
		for _, port := range airflow.PortsUpstream(m, p.G.Sites[i].Duct, 2) {
			if seen[port] || len(out) >= nextConfigs-2 || m.Sys.Ports[port].ID == doubt.AddedPort {
				continue
			}
			seen[port] = true
			x := settings.Setting{Cfg: airflow.Alone(m, port), Open: settings.AloneOpen(m, port)}
			if inUse {
				x = settings.Nearest(m, port)
			}
			c := plan.NextConfig{Cfg: x.Cfg, Open: x.Open, Ports: []int{port}}
			add(c)
			if p.Site[i] > 0.05 && unhooks(m, port) {
				c.Cfg.HoseOff = make([]bool, len(m.Sys.Ports))
				c.Cfg.HoseOff[port] = true
				c.HoseOff, c.Unhook = []string{m.Sys.Ports[port].ID}, plan.MinutesUnhook
				add(c)
			}
		}
	}
	none, _ := m.Configure(false, nil, nil)
	add(plan.NextConfig{Cfg: none})
	loaded := []duct.Setting{{All: true}}
	if inUse {
		loaded = m.Sys.Together()
	}
	for _, t := range loaded[:min(len(loaded), nextConfigs)] {
		if all, err := m.Configure(t.All, t.Gates, nil); err == nil {
			add(plan.NextConfig{Cfg: all, Open: settings.OpenOf(t)})
		}
	}
	return out
}

// unhooks is whether a port has a machine to unhook: a plain duct end, like a
// floor sweep, has none, and without a hose nothing comes off.
func unhooks(m *airflow.Model, port int) bool {
	x := &m.Sys.Ports[port]
	return x.Hood != "plain" && m.Sys.Ducts[x.Duct].Material == "flexible"
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
			hole := &plan.NewTap{Duct: m.Sys.Ducts[d].ID, At: holePlace(m, d)}
			out = append(out, plan.SpotToRead{Point: m.Sys.FreshTap(d), Q: units.StaticPressure, Probe: pr, Minutes: plan.MinutesHole, Hole: hole})
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
func nextIn(p *weigh.Posterior, s *fit.Study, c plan.NextConfig, ch *chooser) []ask {
	spots := spotsIn(p, c)
	rivals := ch.rivals
	est := make([][]fit.Estimate, len(rivals))
	st := s.M.NewState()
	for k, r := range rivals {
		if est[k] = foretold(s, st, r.fit, c.Cfg, spots); est[k] == nil {
			return nil
		}
	}
	var out []ask
	for i, sp := range spots {
		mean, sd := make([]float64, len(rivals)), make([]float64, len(rivals))
		for k := range rivals {
			mean[k], sd[k] = est[k][i].Mean, est[k][i].Sd
		}
		bits := information(rivals, mean, sd)
		if bits < nextLeast/2 {
			continue
		}
		a := ask{Next: Next{Point: sp.Point, Quantity: sp.Q, Open: c.Open, HoseOff: c.HoseOff, NewTap: sp.Hole, Again: taken(p, sp, c),
			Bits: bits, Minutes: sp.Minutes + c.Unhook, Tells: tells(p, rivals, mean, sd)}, setting: settingOf(c.Open, c.HoseOff), cfg: c.Cfg, spot: sp}
		a.decides = information(ch.asking, mean, sd)
		ch.reading(&a, mean, sd, i)
		out = append(out, a)
	}
	return out
}

// taken is whether a reading stands in the survey already.
func taken(p *weigh.Posterior, sp plan.SpotToRead, c plan.NextConfig) bool {
	for i := range p.G.S.B.Survey.Readings {
		r := &p.G.S.B.Survey.Readings[i]
		if r.Point == sp.Point && r.Quantity == sp.Q && settingOf(r.Open, r.HoseOff) == settingOf(c.Open, c.HoseOff) {
			return true
		}
	}
	return false
}

// foretold is what readings yet to be taken should show under a fitted
// hypothesis. They share what is known of their tap, of the instrument and of
// the day, so that what was read already is worth little a second time.
func foretold(s *fit.Study, st *airflow.State, f *fit.Fit, cfg airflow.Config, spots []plan.SpotToRead) []fit.Estimate {
	return foretoldWithout(s, st, f, nil, cfg, spots)
}

// foretoldWithout is the same once those of its faults are mended that mended says; nil: none is.
func foretoldWithout(s *fit.Study, st *airflow.State, f *fit.Fit, mended func(*fault.Variant) bool, cfg airflow.Config, spots []plan.SpotToRead) []fit.Estimate {
	at, left, place := fit.Point{Theta: f.At.Theta}, []*fault.Variant(nil), []int(nil)
	for k, v := range f.Faults {
		if mended == nil || !mended(v) {
			at.Z, left, place = append(at.Z, f.At.Z[k]), append(left, v), append(place, k)
		}
	}
	s.SetCoefs(at, left)
	if st.Solve(&s.Coef, cfg) != nil {
		return nil
	}
	st.Prepare()
	slopes := make([][]fault.Slope, len(left))
	for k, v := range left {
		slopes[k] = v.Slopes(&s.Coef, at.Z[k])
	}
	out, wide := make([]fit.Estimate, len(spots)), make([]float64, s.All)
	jz := mat.NewDense(1, max(len(left), 1), nil)
	for i, sp := range spots {
		o := plan.YetToRead(s, sp, st.Value(sp.Probe))
		row := make([]float64, s.N)
		s.JacobianRow(st, at.Theta, &o, 0, row, jz, slopes)
		gz := make([]float64, len(f.Faults))
		for k, x := range place {
			gz[x] = jz.At(0, k)
		}
		out[i] = fit.Estimate{Mean: fit.ValueOf(st, at.Theta, &o, s.Day), Sd: math.Sqrt(s.Variance(f, row, gz) + s.LeftOut(s.Grad, wide) + o.Fresh*o.Fresh)}
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

// tells are the two classes that a reading sets apart best.
func tells(p *weigh.Posterior, r []rival, mean, sd []float64) []Explanation {
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
	return append(ownOf(p, r[a].fit, r[b].fit), ownOf(p, r[b].fit, r[a].fit)...)
}

// ownOf is what a set blames and another does not: at most one.
func ownOf(p *weigh.Posterior, f, other *fit.Fit) []Explanation {
	for _, v := range f.Faults {
		if !weigh.Holds(other.Hypothesis, v.Site) {
			s := p.G.Sites[v.Site]
			return []Explanation{{Kind: s.Kind, Where: s.Where}}
		}
	}
	if len(f.Faults) == 0 {
		return []Explanation{{Sound: true}}
	}
	return nil
}

// looks rates the checks by eye for the suspects.
func looks(p *weigh.Posterior, c *chooser) []ask {
	var out []ask
	for _, i := range p.Order() {
		if p.Site[i] < 0.005 || len(out) >= looksMost {
			break
		}
		s := p.G.Sites[i]
		for _, r := range observe.LookRates {
			if r.Kind != s.Kind || !suits(&r, p.G.S.M, s.Where) || lookedAt(p, r.Look, s.Where) {
				continue
			}
			a := ask{Next: Next{Point: s.Where, LookAt: r.Look, Minutes: r.Minutes}}
			speaks := make([]float64, len(c.rivals))
			for k, x := range c.rivals {
				if speaks[k] = r.Mistake; weigh.Holds(x.fit.Hypothesis, i) {
					speaks[k] = r.Sees
				}
			}
			if a.Bits = lookBits(c.rivals, speaks); a.Bits < nextLeast/2 {
				continue
			}
			a.decides = lookBits(c.asking, speaks)
			if a.setting = ""; r.Look == readings.Hisses {
				a.setting = settingOf(readings.Open{}, nil) // heard with all gates shut
			}
			c.looking(&a, speaks, len(out))
			out = append(out, a)
		}
	}
	return out
}

// looksMost is how many looks are weighed.
const looksMost = 16

// suits is whether a look can be taken at the place of a fault.
func suits(r *observe.LookRate, m *airflow.Model, where string) bool {
	_, ok := observe.LookPlace(m, r.Look.At(), where)
	return ok
}

// lookedAt is whether a look stands in the survey already.
func lookedAt(p *weigh.Posterior, k readings.Look, where string) bool {
	return slices.ContainsFunc(p.G.S.B.Looks, func(x observe.Looked) bool { return x.Row.Look == k && x.Site.Where == where })
}

// lookBits is what a look with two outcomes is expected to tell of the class of
// the hypothesis, in bits.
func lookBits(rivals []rival, speaks []float64) float64 {
	seen := make([]float64, classes(rivals))
	share := make([]float64, classes(rivals))
	var yes float64
	for k, x := range rivals {
		seen[x.class] += x.weight * speaks[k]
		share[x.class] += x.weight
		yes += x.weight * speaks[k]
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
