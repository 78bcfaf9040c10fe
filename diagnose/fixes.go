package diagnose

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/settings"
	"lostair/diagnose/internal/weigh"
	"lostair/readings/units"
)

// How much trouble a fix is.
const (
	costMinutes = 1 // tape, a lever, a look
	CostHour    = 2
	costParts   = 3
	costRebuild = 4
)

// addFixes says for each asserted fault what to do and what it would gain, and
// puts all fixes into the order to do them: little trouble first, then gain.
func addFixes(p *weigh.Posterior, r *Result) {
	for i := range r.Faults {
		f := &r.Faults[i]
		if f.Kind == fault.ReadingWrong {
			continue
		}
		x := fixFor(p, f)
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
		g.Before, g.After = ports[k].Flow.Value, fault.Interval{Value: by * g.After.Value, Low: by * g.After.Low, High: by * g.After.High}
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

func fixFor(p *weigh.Posterior, f *Fault) Fix {
	x := Fix{For: append([]fault.Candidate{f.Candidate}, f.Alike...)}
	if f.Kind == fault.Undersized {
		return fixUndersized(p, f, x)
	}
	x.Do, x.Cost = Remedy(f, PipeOnly(p, f))
	x.Gains = gainsWithout(p, f)
	return x
}

// PipeOnly says that a fault and all that looks the same lie in pipe: there is
// no hood, gate or hose to look at.
func PipeOnly(p *weigh.Posterior, f *Fault) bool {
	sys := p.G.S.M.Sys
	for _, c := range append([]fault.Candidate{f.Candidate}, f.Alike...) {
		d, ok := sys.DuctNamed(c.Where)
		if !ok || c.Kind == fault.GateRestricted || c.Kind == fault.GateLeaking || sys.Ducts[d].Gate != "" || sys.Ducts[d].Material == "flexible" {
			return false
		}
	}
	return true
}

// FoundNothing is what else reads like a restriction of one branch.
const FoundNothing = " If nothing is found there, see whether all is as wide as the system file says, and which gates stood open when it was read."

// Remedy is what to do about a fault, in the trade's words; pipeOnly: it lies
// where there is neither hood, gate nor hose.
func Remedy(f *Fault, pipeOnly bool) (do string, cost int) {
	at := f.Zone
	switch f.Kind {
	case fault.Leak:
		if f.Where == "bin" {
			return "Reseat the bin's lid and clamp, renew its gasket, and check the clear-view hose or drum under the cyclone for cracks.", costMinutes
		}
		return fmt.Sprintf("With all gates shut feel and listen %s; seal seams and joints with foil tape or mastic, refasten the join.", at), costMinutes
	case fault.Blockage, fault.GateRestricted:
		if f.Kind == fault.GateRestricted && len(f.Alike) == 0 {
			return fmt.Sprintf("Open the gate %s to its stop; blow out the dust packed in its slot so that the blade travels fully.", f.Where) + FoundNothing, costMinutes
		}
		if f.Kind == fault.Blockage && pipeOnly {
			return fmt.Sprintf("With the fan locked off search %s: bends, joins and low runs first, for settled dust, an offcut or a rag. Clear it.", at) + FoundNothing, CostHour
		}
		return fmt.Sprintf("Search %s, easiest first: is the gate open to its stop, is the hood or its grille clogged, is the hose kinked or packed with chips? Clear it.", at) + FoundNothing, costMinutes
	case fault.GateLeaking:
		return fmt.Sprintf("With the gate %s shut, hold a strip of paper to it; clean the slot, square the blade, add a brush or felt seal, or renew the gate.", f.Where), CostHour
	case fault.FilterLoaded:
		return "Clean the filter as its maker says (shake, or blow from the clean side, with a respirator and out of doors); renew it if the drop stays high.", CostHour
	case fault.FanWeak:
		return "With the power locked off look at belt, pulleys and wheel for slip and caked dust; have rotation, supply voltage and drive speed checked by a qualified person.", CostHour
	}
	return "", costParts
}

// gainsWithout compares flows with and without a fault at every port, in the
// settings in use.
func gainsWithout(p *weigh.Posterior, f *Fault) []Gain {
	s := p.G.S
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
	near := p.Whole.Under(s, set)
	cured := *set
	cured.Faults = append(append([]*fault.Variant(nil), set.Faults[:k]...), set.Faults[k+1:]...)
	cured.At.Z = append(append([]float64(nil), set.At.Z[:k]...), set.At.Z[k+1:]...)
	var out []Gain
	for i := range s.M.Sys.Ports {
		for _, use := range settings.JudgedFor(s.M, i) {
			if g, ok := gain(s, set, &cured, i, use, near); ok {
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
	by := []*fit.Nearby{near.Near(use.Open, port)}
	if by[0] != nil {
		if e := s.Estimates(s.M.NewState(), set, use.Cfg, probe, false, by); len(e) > 0 && e[0].Mean > 0 {
			b, a = e[0].Mean, a*e[0].Mean/b
		}
	}
	sd := 0.0
	if e := s.Estimates(s.M.NewState(), set, use.Cfg, probe, true, by); len(e) > 0 {
		sd = e[0].Sd
	}
	p := s.M.Sys.Ports[port]
	return Gain{Port: p.ID, Open: use.Open, Before: b, Need: p.Need, After: fault.Interval{Value: a, Low: a - 1.645*sd, High: a + 1.645*sd}}, true
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

// fixUndersized: the diameter that would do, and whether a shorter hose or
// easier bends would do instead.
func fixUndersized(p *weigh.Posterior, f *Fault, x Fix) Fix {
	s := p.G.S
	x.Cost = costParts
	d, _ := s.M.Sys.DuctNamed(f.Where)
	port, _ := s.M.Sys.PortNamed(f.Why)
	use, _ := settings.Hardest(s.M, port)
	cfg := use.Cfg
	need := s.M.Sys.Ports[port].Need
	now := flowsUnder(s, p.Sets[0], cfg, airflow.PortProbe(s.M, port))
	x.Do = replace(s, weigh.Narrower(s, port, d, f.Severity.Value), f)
	if now == nil || now[0] <= 0 {
		return x
	}
	page := weigh.PageFlow(s, port, d, cfg, 0)
	after := now[0] * weigh.PageFlow(s, port, d, cfg, f.Severity.Value) / page
	x.Gains = []Gain{{Port: f.Why, Open: use.Open, Before: now[0], After: fault.Interval{Value: after, Low: after * 0.95, High: after * 1.05}, Need: need}}
	for _, h := range []struct {
		change string
		flow   float64
	}{
		{"half the length of hose", pageChanged(s, port, d, cfg, 0.5, 1)},
		{"smooth pipe in place of the hose", pageChanged(s, port, d, cfg, 1, 0)},
		{"bends of a long radius (2.5 diameters) on its way", pageEasier(s, port, cfg)},
	} {
		if now[0]*h.flow/page >= need {
			x.Hint = fmt.Sprintf("%s would do as well", h.change)
			break
		}
	}
	return x
}

// replace says what to do about ducts that are too narrow.
func replace(s *fit.Study, ducts []int, f *Fault) string {
	size := wider(f, s.M.Sys.Units)
	if len(ducts) > 1 {
		var ids []string
		for _, d := range ducts {
			ids = append(ids, s.M.Sys.Ducts[d].ID)
		}
		last := len(ids) - 1
		return fmt.Sprintf("Replace %s and %s, one behind the other, by %s or the next size that is made.", strings.Join(ids[:last], ", "), ids[last], size)
	}
	if d, _ := s.M.Sys.DuctNamed(f.Where); s.M.Sys.Ducts[d].Material == "flexible" {
		return fmt.Sprintf("Replace the hose %s by one of %s or the next size that is made.", f.Where, size)
	}
	return fmt.Sprintf("Replace %s by %s pipe or hose of the next size that is made.", f.Where, size)
}

func wider(f *Fault, u units.System) string { return units.Format(f.Severity.Value, units.Diameter, u) }

// pageChanged is what a port gets by the page with one hose shortened or
// replaced by smooth pipe (flexible 0).
func pageChanged(s *fit.Study, port, d int, cfg airflow.Config, length, flexible float64) float64 {
	sys := *s.M.Sys
	sys.Ducts = append(sys.Ducts[:0:0], sys.Ducts...)
	x := &sys.Ducts[d]
	if len(x.Taps) > 0 || x.Material != "flexible" {
		return 0
	}
	x.Length *= length
	if flexible == 0 {
		x.Material = "pvc"
	}
	return airflow.FlowOf(&sys, port, cfg)
}

// pageEasier is what a port gets by the page with long-radius bends all the way.
func pageEasier(s *fit.Study, port int, cfg airflow.Config) float64 {
	sys := *s.M.Sys
	sys.Ducts = append(sys.Ducts[:0:0], sys.Ducts...)
	any := false
	for d := sys.Ports[port].Duct; d >= 0; d = sys.Ducts[d].Into {
		f := append([]duct.Fitting(nil), sys.Ducts[d].Fittings...)
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
