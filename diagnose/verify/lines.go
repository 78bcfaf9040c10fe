package verify

import (
	"math"
	"slices"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/settings"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/route"
	"lostair/readings"
	"lostair/readings/units"
)

// Bounds on work, not on what is found.
const (
	manyPorts = 60 // from here on only the likeliest set of faults is looked at
	fewGates  = 6  // up to here every pair of gates is judged
)

// OwnForm is what the form of the model may be off when one port draws alone,
// as a share of flow. Common practice, no source.
const OwnForm = 0.005

// sizes names the drops that are too small, unless that is improbable.
func (v *Verification) sizes(small []weigh.SmallPort) {
	sys := v.S.M.Sys
	for _, x := range small {
		if x.Probability >= 0.05 {
			v.Out.Sizes = append(v.Out.Sizes, SizeNeed{sys.Ports[x.Port].ID, sys.Ducts[x.Duct].ID, numeric.ClampProbability(x.Probability), x.Diameter})
		}
	}
}

// mixes are what the leading sets say of probes in a configuration, each in a
// duct; -1: in the collector.
func (v *Verification) mixes(c settings.Setting, probes []airflow.Probe, ducts []int, form float64) []mix {
	out := make([]mix, len(probes))
	for k := range out {
		out[k].form = form
	}
	st, open := v.S.M.NewState(), route.Reach(v.S.M, c.Cfg)
	by := make([]*numeric.Nearby, len(probes))
	for i, f := range v.Sets {
		last, of := []int(nil), (*numeric.Nearby)(nil)
		for k, d := range ducts {
			if ports := v.Through(open, d); of == nil || !slices.Equal(ports, last) {
				last, of = ports, v.near[i].Near(c.Open, ports...)
			}
			by[k] = of
		}
		for k, e := range v.S.Estimates(st, f, c.Cfg, probes, false, by) {
			out[k].take(v.weights[i], e)
		}
	}
	return out
}

// byPage is what the page's system has at probes.
func (v *Verification) byPage(c airflow.Config, probes []airflow.Probe) []float64 {
	if v.state.Solve(&v.page, c) != nil {
		return nil
	}
	out := make([]float64, len(probes))
	for i, p := range probes {
		out[i] = v.state.Value(p)
	}
	return out
}

// port: its flow in the settings in use against its need and the design.
func (v *Verification) port(i int) {
	for _, use := range settings.JudgedFor(v.S.M, i) {
		v.portIn(i, use.Cfg, use.Open)
	}
}

func (v *Verification) portIn(i int, cfg airflow.Config, open readings.Open) {
	m := v.S.M
	port := m.Sys.Ports[i]
	probe := airflow.PortProbe(m, i)
	if probe == nil {
		return
	}
	form := v.form(cfg)
	x := &v.mixes(settings.Setting{Cfg: cfg, Open: open}, probe, []int{port.Duct}, form)[0]
	design := v.byPage(cfg, probe)
	if len(x.W) == 0 || design == nil {
		return
	}
	if port.Need > 0 {
		l := v.onlyIfRead(lineOf(PortNeed, port.ID, open, units.Flow, x, port.Need, 0), cfg, port.Duct)
		l.Design = design[0]
		v.show(&l, cfg, probe[0])
		v.Out.Lines = append(v.Out.Lines, l)
	}
	l := v.onlyIfRead(lineOf(PortDesign, port.ID, open, units.Flow, x, (1-v.opt.Tolerance)*design[0], 0), cfg, port.Duct)
	l.Design = design[0]
	v.show(&l, cfg, probe[0])
	v.Out.Lines = append(v.Out.Lines, l)
	if port.Need > 0 {
		v.filterRoom(i, cfg, open, x, port.Need)
	}
}

// form is what the model's form may be off in a configuration: more where joins meet.
func (v *Verification) form(c airflow.Config) float64 {
	n := 0
	for _, ok := range route.Reach(v.S.M, c) {
		if ok {
			n++
		}
	}
	if n > 1 {
		return diagnose.JoinForm
	}
	return OwnForm
}

// filterRoom: the port's flow with the filter loaded.
func (v *Verification) filterRoom(i int, cfg airflow.Config, open readings.Open, x *mix, need float64) {
	if v.S.M.Sys.Collector.Filter == nil {
		return
	}
	f := v.Sets[0]
	now, then := v.withFilter(f, i, cfg, 1), v.withFilter(f, i, cfg, v.opt.Filter)
	if now <= 0 || then <= 0 {
		return
	}
	k := then / now
	y := mix{}
	for j := range x.W {
		y.Add(x.W[j], k*x.Mean[j], k*x.Sd[j])
	}
	port := v.S.M.Sys.Ports[i]
	v.Out.Lines = append(v.Out.Lines, v.onlyIfRead(lineOf(FilterRoom, port.ID, open, units.Flow, &y, need, 0), cfg, port.Duct))
}

// withFilter is a port's flow with the clean filter's drop multiplied, all else
// as the fit has it; now is measured against the clean drop of the page.
func (v *Verification) withFilter(f *fit.Fit, port int, cfg airflow.Config, times float64) float64 {
	v.S.SetCoefs(f.At, f.Faults)
	c := v.S.Coef.Clone()
	if times > 1 {
		c.Filter = math.Max(c.Filter, times)
	}
	st := v.S.M.NewState()
	if st.Solve(&c, cfg) != nil {
		return 0
	}
	return st.PortFlow(port)
}

// configs: the settings in use, what the user names and what the survey was
// taken in. Where none is said to be in use: each port's gates alone, usual
// pairs and all open.
func (v *Verification) configs() []settings.Setting {
	m := v.S.M
	var out []settings.Setting
	seen := map[string]bool{}
	add := func(o readings.Open) {
		c, err := m.Configure(o.All, o.Gates, nil)
		if err != nil || seen[key(c)] || len(o.Gates) == 0 && !o.All {
			return
		}
		seen[key(c)] = true
		out = append(out, settings.Setting{Cfg: c, Open: o})
	}
	for _, o := range settings.InUse(m) {
		add(o)
	}
	for _, o := range v.opt.Open {
		add(o)
	}
	guessed := len(m.Sys.Settings) == 0
	if guessed {
		for _, o := range usualPairs(m) {
			add(o)
		}
	}
	for _, c := range v.all.Configs {
		add(c.Open)
	}
	if guessed {
		add(readings.Open{All: true})
	}
	return out
}

// usualPairs are two ports at work at once: any two in a small shop, else
// those that stand next to each other in the system file.
func usualPairs(m *airflow.Model) []readings.Open {
	var out []readings.Open
	n := len(m.Sys.Ports)
	for i := range n {
		for j := i + 1; j < n; j++ {
			if m.Gates() > fewGates && j > i+1 {
				continue
			}
			o := readings.Open{Gates: append(settings.AloneOpen(m, i).Gates, settings.AloneOpen(m, j).Gates...)}
			slices.Sort(o.Gates)
			o.Gates = slices.Compact(o.Gates)
			out = append(out, o)
		}
	}
	return out
}

// velocities: every duct on the way of an open port against its conveying velocity.
func (v *Verification) velocities(c settings.Setting) {
	m := v.S.M
	on := make([]bool, len(m.Sys.Ducts))
	for i, ok := range route.Reach(m, c.Cfg) {
		if !ok {
			continue
		}
		for d := m.Sys.Ports[i].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
			on[d] = true
		}
	}
	var ducts []int
	var probes []airflow.Probe
	for d := range on {
		if on[d] {
			ducts, probes = append(ducts, d), append(probes, m.ProbeDuct(d, units.MeanVelocity))
		}
	}
	form := v.form(c.Cfg)
	design := v.byPage(c.Cfg, probes)
	speeds := map[int]float64{}
	v.speeds[key(c.Cfg)] = speeds
	for k, x := range v.mixes(c, probes, ducts, form) {
		if len(x.W) == 0 || design == nil {
			continue
		}
		l := v.onlyIfRead(lineOf(Carrying, m.Sys.Ducts[ducts[k]].ID, c.Open, units.Velocity, &x, v.least(ducts[k]), 0), c.Cfg, ducts[k])
		l.Design, speeds[ducts[k]] = design[k], l.Value.Value
		v.show(&l, c.Cfg, probes[k])
		v.Out.Lines = append(v.Out.Lines, l)
	}
}

// least is a duct's conveying velocity.
func (v *Verification) least(d int) float64 {
	if v.trunk[d] {
		return v.Out.Convey.Main
	}
	return v.Out.Convey.Branch
}

// pressures: each static pressure that was read against that of the design. One whose
// fan is a guess has none: readings differ from a guess, and nothing is wrong.
func (v *Verification) pressures() {
	m := v.S.M
	if m.Sys.Collector.FanGuessed() {
		return
	}
	type at struct {
		cfg   int
		point string
	}
	seen := map[at]bool{}
	for _, o := range v.all.Observation {
		rd := v.all.Survey.Readings[o.Reading]
		if rd.Quantity != units.StaticPressure && rd.Quantity != units.Suction || seen[at{o.Cfg, rd.Point}] {
			continue
		}
		seen[at{o.Cfg, rd.Point}] = true
		c := v.all.Configs[o.Cfg]
		probe, err := m.ProbeAt(rd.Point, units.Suction)
		if err != nil || len(c.HoseOff) > 0 {
			continue
		}
		design := v.byPage(c.Config, []airflow.Probe{probe})
		x := &v.mixes(settings.Setting{Cfg: c.Config, Open: c.Open}, []airflow.Probe{probe}, []int{v.S.DuctAt(rd.Point)}, OwnForm)[0]
		if len(x.W) == 0 || design == nil || design[0] <= 0 {
			continue
		}
		l := lineOf(TapPressure, rd.Point, c.Open, units.Pressure, x, (1-v.opt.Tolerance)*design[0], (1+v.opt.Tolerance)*design[0])
		l.Design = design[0]
		v.show(&l, c.Config, probe)
		v.Out.Lines = append(v.Out.Lines, l)
	}
}

// fault: is anything else wrong?
func (v *Verification) fault() {
	l := certainty(NoFault, "", 1-v.Out.Result.Broken)
	l.Named = v.named()
	v.Out.Lines = append(v.Out.Lines, l)
}

func (v *Verification) named() *fault.Candidate {
	for _, f := range v.Out.Result.Faults {
		if diagnose.OfSystem(f) {
			return &f.Candidate
		}
	}
	return nil
}
