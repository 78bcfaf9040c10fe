package verify

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/combin"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/settings"
	"lostair/diagnose/route"
	"lostair/readings"
	"lostair/readings/units"
)

// collector: the fan's place on its curve and what a filter may cost.
func (v *Verification) collector() {
	m := v.S.M
	weak := 0.0
	for i, s := range v.p.G.Sites {
		if s.Kind == fault.FanWeak {
			weak += v.p.Site[i]
		}
	}
	l := certainty(FanOnCurve, "fan", 1-weak)
	if l.Outcome == NotShown {
		l.Show = &ToRead{Point: readings.FanInlet, Quantity: units.StaticPressure, ShutToo: true}
	}
	v.Out.Lines = append(v.Out.Lines, l)
	v.Out.Fan = v.fanPlace()
	v.Out.Fan.Bears, v.Out.Fan.First = v.bears(m)
}

// fanPlace is taken in the setting in use that draws the most air.
func (v *Verification) fanPlace() FanPlace {
	m := v.S.M
	type probed struct {
		point string
		q     units.Quantity
	}
	asked := []probed{{airflow.CollectorInlet, units.FlowRate}, {airflow.FanInlet, units.Suction}, {airflow.FanInlet, units.VelocityPressure}}
	behind := filterBehindFan(m.Sys.Collector)
	if behind {
		asked = append(asked, probed{airflow.FilterPoint, units.PressureDrop})
	}
	probes, inside := make([]airflow.Probe, len(asked)), make([]int, len(asked))
	for k, x := range asked {
		p, err := m.ProbeAt(x.point, x.q)
		if err != nil {
			return FanPlace{}
		}
		probes[k], inside[k] = p, -1
	}
	most, at := 0.0, settings.Setting{}
	for _, o := range settings.InUse(m) {
		c, err := m.Configure(o.All, o.Gates, nil)
		if err != nil {
			continue
		}
		if q := v.byPage(c, probes[:1]); q != nil && q[0] > most {
			most, at = q[0], settings.Setting{Cfg: c, Open: o}
		}
	}
	if most == 0 {
		return FanPlace{}
	}
	x := FanPlace{Open: at.Open}
	ms := v.mixes(at, probes, inside, v.form(at.Cfg))
	if len(ms[0].W) == 0 {
		return FanPlace{}
	}
	x.Flow = ms[0].interval()
	p := ms[1].interval()
	add := -ms[2].interval().Value
	if behind {
		add += ms[3].interval().Value
	}
	x.Pressure = fault.Interval{Value: p.Value + add, Low: p.Low + add, High: p.High + add}
	x.OfFree, x.OfPeak = ofCurve(m, x.Flow.Value, x.Pressure.Value)
	return x
}

// filterBehindFan says whether the filter stands on the fan's pressure side.
func filterBehindFan(c duct.Collector) bool {
	for _, p := range c.Order {
		switch p {
		case duct.Fan:
			return c.Filter != nil
		case duct.Filter:
			return false
		}
	}
	return false
}

// ofCurve puts a flow and a pressure beside the ends of the fan's curve; 0 if that is a guess.
func ofCurve(m *airflow.Model, flow, pressure float64) (ofFree, ofPeak float64) {
	if m.Sys.Collector.FanGuessed() {
		return 0, 0
	}
	last, peak := handbook.GuessedEnds(m.Sys)
	density := m.Sys.Collector.Density
	if density <= 0 {
		density = handbook.StandardDensity
	}
	peak *= m.Air.Density / density
	if last <= 0 || peak <= 0 {
		return 0, 0
	}
	return flow / last, pressure / peak
}

// bears finds the multiple of the clean filter's drop at which the first port
// falls under its need.
func (v *Verification) bears(m *airflow.Model) (float64, string) {
	if m.Sys.Collector.Filter == nil {
		return 0, ""
	}
	const most = 50.0
	f := v.Sets[0]
	best, first := math.Inf(1), ""
	for i, p := range m.Sys.Ports {
		use, ok := settings.Hardest(m, i)
		cfg := use.Cfg
		if !ok || p.Need <= 0 || v.withFilter(f, i, cfg, 1) < p.Need {
			continue
		}
		lo, hi := 1.0, most
		if v.withFilter(f, i, cfg, hi) >= p.Need {
			lo = hi
		}
		for range 20 {
			k := (lo + hi) / 2
			if v.withFilter(f, i, cfg, k) < p.Need {
				hi = k
			} else {
				lo = k
			}
		}
		if lo < best {
			best, first = lo, p.ID
		}
	}
	if first == "" {
		return 0, ""
	}
	return best, first
}

// mostTogether bounds how many gates are opened beside one.
const mostTogether = 3

// carry finds the settings in use (where none is named: the gates that alone)
// that don't keep the trunk carrying, and the fewest gates that do so opened
// with them.
func (v *Verification) carry() {
	m := v.S.M
	f := v.Sets[0]
	v.S.SetCoefs(f.At, f.Faults)
	c := v.S.Coef.Clone()
	st := m.NewState()
	sup := NewSupply(m, st, &c)
	cleared := map[string][]string{} // by the slow ducts: many ports share them
	said := map[string]bool{}        // settings with the ducts that are slow in them
	for i, port := range m.Sys.Ports {
		for _, use := range settings.JudgedFor(m, i) {
			slow := v.slow(st, &c, use.Cfg, i)
			same := fmt.Sprint(use.Open, slow)
			if len(slow) == 0 || said[same] {
				continue
			}
			said[same] = true
			n := CarryNeed{Port: port.ID, Open: use.Open, Slow: slow}
			n.Together, n.Short = v.fewest(st, &c, sup, use.Cfg, route.Of(m, i))
			if n.Together == nil {
				key := ""
				for _, s := range slow {
					key += s.Duct + "\x00"
				}
				if _, known := cleared[key]; !known {
					cleared[key] = v.clearing(st, &c, sup, slow)
				}
				n.Clear = cleared[key]
			}
			v.Out.Carry = append(v.Out.Carry, n)
		}
	}
}

// slow lists the trunk ducts on a port's way whose air is too slow, by the lines
// or, of a setting that is none, by the likeliest fit.
func (v *Verification) slow(st *airflow.State, c *airflow.Coefs, cfg airflow.Config, port int) []SlowDuct {
	speeds, judged := v.speeds[key(cfg)]
	if !judged && st.Solve(c, cfg) != nil {
		return nil
	}
	var out []SlowDuct
	for _, d := range route.Of(v.S.M, port) {
		if !v.trunk[d] {
			continue
		}
		u, known := speeds[d]
		if !judged {
			u, known = st.Value(v.S.M.ProbeDuct(d, units.MeanVelocity)), true
		}
		if known && u < v.least(d) {
			out = append(out, SlowDuct{v.S.M.Sys.Ducts[d].ID, u, v.least(d)})
		}
	}
	return out
}

// clearing searches the fewest gates, whichever they are, that carry off what
// lies in the slow ducts once the machine is idle.
func (v *Verification) clearing(st *airflow.State, c *airflow.Coefs, sup *Supply, slow []SlowDuct) []string {
	var ducts []int
	for _, s := range slow {
		d, _ := v.S.M.Sys.DuctNamed(s.Duct)
		ducts = append(ducts, d)
	}
	none, err := v.S.M.Configure(false, nil, nil)
	if err != nil {
		return nil
	}
	gates, _ := v.fewest(st, c, sup, none, ducts)
	return gates
}

// fewest searches the smallest set of further gates with which all the ducts
// carry; of equal sets that in which the fewest ports fall under their need, and
// of those the first in the file's order.
func (v *Verification) fewest(st *airflow.State, c *airflow.Coefs, sup *Supply, cfg airflow.Config, ducts []int) (gates, short []string) {
	m := v.S.M
	var shut []int
	for g, open := range cfg.Open {
		if !open {
			shut = append(shut, g)
		}
	}
	least := make([]float64, len(ducts)) // flows
	for k, d := range ducts {
		least[k] = v.least(d) * m.Position(m.DuctSegments(d)[0]).Bore
	}
	most := mostTogether
	switch {
	case len(shut) > 100:
		most = 1
	case len(shut) > 25:
		most = 2
	}
	for n := 1; n <= min(most, len(shut)); n++ {
		var best, bestShort []string
		for _, pick := range combin.Combinations(len(shut), n) {
			try := airflow.Config{Open: append([]bool(nil), cfg.Open...)}
			var ids []string
			for _, k := range pick {
				try.Open[shut[k]] = true
				ids = append(ids, m.GateID(shut[k]))
			}
			if !sup.Could(try, ducts, least) || !v.carries(st, c, try, ducts) {
				continue
			}
			if s := v.under(st, try); best == nil || len(s) < len(bestShort) {
				best, bestShort = ids, s
			}
			if len(bestShort) == 0 {
				break // none is better
			}
		}
		if best != nil {
			return best, bestShort
		}
	}
	return nil, nil
}

// carries says whether every one of the ducts is fast enough.
func (v *Verification) carries(st *airflow.State, c *airflow.Coefs, cfg airflow.Config, ducts []int) bool {
	if st.Solve(c, cfg) != nil {
		return false
	}
	for _, d := range ducts {
		if st.Value(v.S.M.ProbeDuct(d, units.MeanVelocity)) < v.least(d) {
			return false
		}
	}
	return true
}

// under lists the open ports that get less than they need in the state last solved.
func (v *Verification) under(st *airflow.State, cfg airflow.Config) []string {
	var out []string
	for i, ok := range route.Reach(v.S.M, cfg) {
		if p := v.S.M.Sys.Ports[i]; ok && p.Need > 0 && st.PortFlow(i) < p.Need {
			out = append(out, p.ID)
		}
	}
	return out
}
