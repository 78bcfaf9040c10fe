package diagnose

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/units"
)

// How much trouble a fix is.
const (
	costMinutes = 1 // tape, a lever, a look
	costHour    = 2
	costParts   = 3
	costRebuild = 4
)

// addFixes says for each asserted fault what to do and what it would gain, and
// puts all fixes into the order to do them: little trouble first, then gain.
func (p *posterior) addFixes(r *Result) {
	for i := range r.Faults {
		f := &r.Faults[i]
		if f.Kind == ReadingWrong {
			continue
		}
		x := p.fixFor(f)
		fromNow(x.Gains, r.Ports)
		f.Fix = &x
		r.Fixes = append(r.Fixes, x)
	}
	sort.SliceStable(r.Fixes, func(a, b int) bool {
		x, y := r.Fixes[a], r.Fixes[b]
		if x.Cost != y.Cost {
			return x.Cost < y.Cost
		}
		return gained(x) > gained(y)
	})
}

// fromNow lets each gain start from the flow that the ports are said to have: a
// gain is reckoned with one fault taken for certain, that flow with all that may
// be wrong, and one port has one flow.
func fromNow(gains []Gain, ports []PortFlow) {
	for i := range gains {
		g := &gains[i]
		k := slices.IndexFunc(ports, func(p PortFlow) bool { return p.Port == g.Port && p.Open.String() == g.Open.String() })
		if k < 0 || g.Before <= 0 {
			continue
		}
		by := ports[k].Flow.Value / g.Before
		g.Before, g.After = ports[k].Flow.Value, Interval{by * g.After.Value, by * g.After.Low, by * g.After.High}
	}
}

// gained is a fix's total gain in flow, weighted by nothing but its air.
func gained(f Fix) float64 {
	var g float64
	for _, x := range f.Gains {
		g += x.After.Value - x.Before
	}
	return g
}

func (p *posterior) fixFor(f *Fault) Fix {
	x := Fix{For: append([]Candidate{f.Candidate}, f.Alike...)}
	if f.Kind == Undersized {
		return p.fixUndersized(f, x)
	}
	x.Do, x.Cost = remedy(f, p.pipeOnly(f))
	x.Gains = p.gainsWithout(f)
	return x
}

// pipeOnly says that a fault and all that looks the same lie in pipe: there is
// no hood, gate or hose to look at.
func (p *posterior) pipeOnly(f *Fault) bool {
	sys := p.g.s.m.Sys
	for _, c := range append([]Candidate{f.Candidate}, f.Alike...) {
		d, ok := sys.DuctNamed(c.Where)
		if !ok || c.Kind == GateRestricted || c.Kind == GateLeaking || sys.Ducts[d].Gate != "" || sys.Ducts[d].Material == "flexible" {
			return false
		}
	}
	return true
}

// foundNothing is what else reads like a restriction of one branch.
const foundNothing = " If nothing is found there, see whether all is as wide as the system file says, and which gates stood open when it was read."

// remedy is what to do about a fault, in the trade's words; pipeOnly: it lies
// where there is neither hood, gate nor hose.
func remedy(f *Fault, pipeOnly bool) (do string, cost int) {
	at := f.Zone
	switch f.Kind {
	case Leak:
		if f.Where == "bin" {
			return "Reseat the bin's lid and clamp, renew its gasket, and check the clear-view hose or drum under the cyclone for cracks.", costMinutes
		}
		return fmt.Sprintf("With all gates shut feel and listen %s; seal seams and joints with foil tape or mastic, refasten the join.", at), costMinutes
	case Blockage, GateRestricted:
		if f.Kind == GateRestricted && len(f.Alike) == 0 {
			return fmt.Sprintf("Open the gate %s to its stop; blow out the dust packed in its slot so that the blade travels fully.", f.Where) + foundNothing, costMinutes
		}
		if f.Kind == Blockage && pipeOnly {
			return fmt.Sprintf("With the fan locked off search %s: bends, joins and low runs first, for settled dust, an offcut or a rag. Clear it.", at) + foundNothing, costHour
		}
		return fmt.Sprintf("Search %s, easiest first: is the gate open to its stop, is the hood or its grille clogged, is the hose kinked or packed with chips? Clear it.", at) + foundNothing, costMinutes
	case GateLeaking:
		return fmt.Sprintf("With the gate %s shut, hold a strip of paper to it; clean the slot, square the blade, add a brush or felt seal, or renew the gate.", f.Where), costHour
	case FilterLoaded:
		return "Clean the filter as its maker says (shake, or blow from the clean side, with a respirator and out of doors); renew it if the drop stays high.", costHour
	case FanWeak:
		return "With the power locked off look at belt, pulleys and wheel for slip and caked dust; have rotation, supply voltage and drive speed checked by a qualified person.", costHour
	}
	return "", costParts
}

// gainsWithout compares flows with and without a fault at every port, in the
// settings in use.
func (p *posterior) gainsWithout(f *Fault) []Gain {
	s := p.g.s
	var sites []int
	for _, c := range append([]Candidate{f.Candidate}, f.Alike...) {
		for i, st := range p.g.sites {
			if st.kind == c.Kind && st.where == c.Where {
				sites = append(sites, i)
			}
		}
	}
	set, k := p.best(sites)
	if set == nil {
		return nil
	}
	near := p.whole.under(s, set)
	cured := *set
	cured.faults = append(append([]*variant(nil), set.faults[:k]...), set.faults[k+1:]...)
	cured.at.z = append(append([]float64(nil), set.at.z[:k]...), set.at.z[k+1:]...)
	var out []Gain
	for i := range s.m.Sys.Ports {
		for _, use := range judgedFor(s.m, i) {
			if g, ok := s.gain(set, &cured, i, use, near); ok {
				out = append(out, g)
			}
		}
	}
	sort.SliceStable(out, func(x, y int) bool {
		return out[x].After.Value-out[x].Before > out[y].After.Value-out[y].Before
	})
	return out
}

// gain is what a port gains in one setting of the gates; false if next to nothing.
func (s *study) gain(set, cured *fitted, port int, use judgedConfig, near *teller) (Gain, bool) {
	probe := portProbe(s.m, port)
	if probe == nil {
		return Gain{}, false
	}
	before := s.flowsUnder(set, use.cfg, probe)
	after := s.flowsUnder(cured, use.cfg, probe)
	if before == nil || after == nil {
		return Gain{}, false
	}
	b, a := before[0], after[0]
	if a-b < 0.005*b {
		return Gain{}, false
	}
	by := []*nearby{near.near(use.open, port)}
	if by[0] != nil {
		if e := s.estimates(s.m.NewState(), set, use.cfg, probe, false, by); len(e) > 0 && e[0].mean > 0 {
			b, a = e[0].mean, a*e[0].mean/b
		}
	}
	sd := 0.0
	if e := s.estimates(s.m.NewState(), set, use.cfg, probe, true, by); len(e) > 0 {
		sd = e[0].sd
	}
	p := s.m.Sys.Ports[port]
	return Gain{Port: p.ID, Open: use.open, Before: b, Need: p.Need, After: Interval{a, a - 1.645*sd, a + 1.645*sd}}, true
}

// flowsUnder works out probes under a fitted hypothesis, without intervals.
func (s *study) flowsUnder(f *fitted, cfg airflow.Config, probes []airflow.Probe) []float64 {
	s.setCoefs(f.at, f.faults)
	st := s.m.NewState()
	if st.Solve(&s.coef, cfg) != nil {
		return nil
	}
	out := make([]float64, len(probes))
	for i, p := range probes {
		out[i] = st.Value(p)
	}
	return out
}

// aloneOpen is the configuration of alone in the words of a readings file.
func aloneOpen(m *airflow.Model, port int) readings.Open {
	var o readings.Open
	for d := m.Sys.Ports[port].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
		if g := m.Sys.Ducts[d].Gate; g != "" {
			o.Gates = append(o.Gates, g)
		}
	}
	sort.Strings(o.Gates)
	return o
}

// fixUndersized: the diameter that would do, and whether a shorter hose or
// easier bends would do instead.
func (p *posterior) fixUndersized(f *Fault, x Fix) Fix {
	s := p.g.s
	x.Cost = costParts
	d, _ := s.m.Sys.DuctNamed(f.Where)
	port, _ := s.m.Sys.PortNamed(f.Why)
	use, _ := hardest(s.m, port)
	cfg := use.cfg
	need := s.m.Sys.Ports[port].Need
	now := s.flowsUnder(p.sets[0], cfg, portProbe(s.m, port))
	x.Do = s.replace(s.narrower(port, d, f.Severity.Value), f)
	if now == nil || now[0] <= 0 {
		return x
	}
	page := s.pageFlow(port, d, cfg, 0)
	after := now[0] * s.pageFlow(port, d, cfg, f.Severity.Value) / page
	x.Gains = []Gain{{Port: f.Why, Open: use.open, Before: now[0], After: Interval{after, after * 0.95, after * 1.05}, Need: need}}
	for _, h := range []struct {
		change string
		flow   float64
	}{
		{"half the length of hose", s.pageChanged(port, d, cfg, 0.5, 1)},
		{"smooth pipe in place of the hose", s.pageChanged(port, d, cfg, 1, 0)},
		{"bends of a long radius (2.5 diameters) on its way", s.pageEasier(port, cfg)},
	} {
		if now[0]*h.flow/page >= need {
			x.Hint = fmt.Sprintf("%s would do as well", h.change)
			break
		}
	}
	return x
}

// replace says what to do about ducts that are too narrow.
func (s *study) replace(ducts []int, f *Fault) string {
	size := wider(f, s.m.Sys.Units)
	if len(ducts) > 1 {
		var ids []string
		for _, d := range ducts {
			ids = append(ids, s.m.Sys.Ducts[d].ID)
		}
		last := len(ids) - 1
		return fmt.Sprintf("Replace %s and %s, one behind the other, by %s or the next size that is made.", strings.Join(ids[:last], ", "), ids[last], size)
	}
	if d, _ := s.m.Sys.DuctNamed(f.Where); s.m.Sys.Ducts[d].Material == "flexible" {
		return fmt.Sprintf("Replace the hose %s by one of %s or the next size that is made.", f.Where, size)
	}
	return fmt.Sprintf("Replace %s by %s pipe or hose of the next size that is made.", f.Where, size)
}

func wider(f *Fault, u units.System) string { return units.Format(f.Severity.Value, units.Diameter, u) }

func portProbe(m *airflow.Model, port int) []airflow.Probe {
	pr, err := m.ProbeAt(m.Sys.Ports[port].ID, units.FlowRate)
	if err != nil {
		return nil
	}
	return []airflow.Probe{pr}
}

// pageChanged is what a port gets by the page with one hose shortened or
// replaced by smooth pipe (flexible 0).
func (s *study) pageChanged(port, d int, cfg airflow.Config, length, flexible float64) float64 {
	sys := *s.m.Sys
	sys.Ducts = append(sys.Ducts[:0:0], sys.Ducts...)
	x := &sys.Ducts[d]
	if len(x.Taps) > 0 || x.Material != "flexible" {
		return 0
	}
	x.Length *= length
	if flexible == 0 {
		x.Material = "pvc"
	}
	return flowOf(&sys, port, cfg)
}

// pageEasier is what a port gets by the page with long-radius bends all the way.
func (s *study) pageEasier(port int, cfg airflow.Config) float64 {
	sys := *s.m.Sys
	sys.Ducts = append(sys.Ducts[:0:0], sys.Ducts...)
	any := false
	for d := sys.Ports[port].Duct; d >= 0; d = sys.Ducts[d].Into {
		f := append([]duct.Fitting(nil), sys.Ducts[d].Fittings...)
		for i := range f {
			if f[i].Elbow && f[i].Radius < longRadius {
				f[i].Radius, any = longRadius, true
			}
		}
		sys.Ducts[d].Fittings = f
	}
	if !any {
		return 0
	}
	return flowOf(&sys, port, cfg)
}

// longRadius is the radius of an easy bend, in diameters.
const longRadius = 2.5

// flowOf is a port's flow by the page of a system; 0 if it can't be solved.
func flowOf(sys *duct.System, port int, cfg airflow.Config) float64 {
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return 0
	}
	c := m.Coefs()
	st := m.NewState()
	if st.Solve(&c, cfg) != nil {
		return 0
	}
	return st.PortFlow(port)
}
