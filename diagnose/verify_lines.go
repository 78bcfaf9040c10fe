package diagnose

import (
	"context"
	"math"
	"slices"
	"sort"

	"lostair/diagnose/airflow"
	"lostair/readings"
	"lostair/readings/units"
)

// verification works out the lines.
type verification struct {
	p   *posterior
	s   *study
	all *bound // every reading, of which the study may have only some
	opt VerifyOptions
	out *Verified

	sets    []*fitted
	weights []float64
	page    airflow.Coefs
	state   *airflow.State
	near    []*teller                  // of each of the sets, in order
	speeds  map[string]map[int]float64 // by setting and duct: velocity, m/s
	trunk   []bool                     // by duct: several ports draw through it
	passes  [][]bool                   // by port and duct: the port's air passes it
	read    []bool                     // by port: the readings tell of it
	last    *outlook                   // of the setting last asked for
}

// Bounds on work, not on what is found.
const (
	manyPorts = 60 // from here on only the likeliest set of faults is looked at
	fewGates  = 6  // up to here every pair of gates is judged
)

// ownForm is what the form of the model may be off when one port draws alone,
// as a share of flow. Common practice, no source.
const ownForm = 0.005

func (v *verification) run(ctx context.Context) error {
	m := v.s.m
	v.sets, v.weights = v.p.leading()
	if len(m.Sys.Ports) > manyPorts {
		v.sets, v.weights = v.sets[:1], []float64{1}
	}
	v.near = v.p.tellers(0)
	v.page, v.state = m.Coefs(), m.NewState()
	v.speeds = map[string]map[int]float64{}
	v.trunk, v.passes = trunks(m.Sys), ways(m)
	v.read = v.portsRead()
	for i := range m.Sys.Ports {
		if err := ctx.Err(); err != nil {
			return err
		}
		v.port(i)
	}
	for _, c := range v.configs() {
		if err := ctx.Err(); err != nil {
			return err
		}
		v.velocities(c)
	}
	v.pressures()
	v.collector()
	v.fault()
	v.carry()
	for _, x := range v.p.undersized() {
		if x.probability >= 0.05 {
			v.out.Sizes = append(v.out.Sizes, SizeNeed{m.Sys.Ports[x.port].ID, m.Sys.Ducts[x.duct].ID, clampP(x.probability), x.diameter})
		}
	}
	return nil
}

// mixes are what the leading sets say of probes in a configuration, each in a
// duct; -1: in the collector.
func (v *verification) mixes(c judgedConfig, probes []airflow.Probe, ducts []int, form float64) []mix {
	out := make([]mix, len(probes))
	for k := range out {
		out[k].form = form
	}
	st, open := v.s.m.NewState(), reach(v.s.m, c.cfg)
	by := make([]*nearby, len(probes))
	for i, f := range v.sets {
		last, of := []int(nil), (*nearby)(nil)
		for k, d := range ducts {
			if ports := v.through(open, d); k == 0 || !slices.Equal(ports, last) {
				last, of = ports, v.near[i].near(c.open, ports...)
			}
			by[k] = of
		}
		for k, e := range v.s.estimates(st, f, c.cfg, probes, false, by) {
			out[k].take(v.weights[i], e)
		}
	}
	return out
}

// through lists the open ports whose air passes a duct, or the collector.
func (v *verification) through(open []bool, d int) []int {
	var out []int
	for i, ok := range open {
		if ok && (d < 0 || v.passes[i][d]) {
			out = append(out, i)
		}
	}
	return out
}

// byPage is what the page's system has at probes.
func (v *verification) byPage(c airflow.Config, probes []airflow.Probe) []float64 {
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
func (v *verification) port(i int) {
	for _, use := range judgedFor(v.s.m, i) {
		v.portIn(i, use.cfg, use.open)
	}
}

func (v *verification) portIn(i int, cfg airflow.Config, open readings.Open) {
	m := v.s.m
	port := m.Sys.Ports[i]
	probe := portProbe(m, i)
	if probe == nil {
		return
	}
	form := v.form(cfg)
	x := &v.mixes(judgedConfig{cfg, open}, probe, []int{port.Duct}, form)[0]
	design := v.byPage(cfg, probe)
	if len(x.w) == 0 || design == nil {
		return
	}
	if port.Need > 0 {
		l := v.onlyIfRead(lineOf(PortNeed, port.ID, open, units.Flow, x, port.Need, 0), cfg, port.Duct)
		l.Design = design[0]
		v.show(&l, cfg, probe[0])
		v.out.Lines = append(v.out.Lines, l)
	}
	l := v.onlyIfRead(lineOf(PortDesign, port.ID, open, units.Flow, x, (1-v.opt.Tolerance)*design[0], 0), cfg, port.Duct)
	l.Design = design[0]
	v.show(&l, cfg, probe[0])
	v.out.Lines = append(v.out.Lines, l)
	if port.Need > 0 {
		v.filterRoom(i, cfg, open, x, port.Need)
	}
}

// form is what the model's form may be off in a configuration: more where joins meet.
func (v *verification) form(c airflow.Config) float64 {
	n := 0
	for _, ok := range reach(v.s.m, c) {
		if ok {
			n++
		}
	}
	if n > 1 {
		return joinForm
	}
	return ownForm
}

// filterRoom: the port's flow with the filter loaded.
func (v *verification) filterRoom(i int, cfg airflow.Config, open readings.Open, x *mix, need float64) {
	if v.s.m.Sys.Collector.Filter == nil {
		return
	}
	f := v.sets[0]
	now, then := v.withFilter(f, i, cfg, 1), v.withFilter(f, i, cfg, v.opt.Filter)
	if now <= 0 || then <= 0 {
		return
	}
	k := then / now
	y := mix{}
	for j := range x.w {
		y.add(x.w[j], k*x.mean[j], k*x.sd[j])
	}
	port := v.s.m.Sys.Ports[i]
	v.out.Lines = append(v.out.Lines, v.onlyIfRead(lineOf(FilterRoom, port.ID, open, units.Flow, &y, need, 0), cfg, port.Duct))
}

// withFilter is a port's flow with the clean filter's drop multiplied, all else
// as the fit has it; now is measured against the clean drop of the page.
func (v *verification) withFilter(f *fitted, port int, cfg airflow.Config, times float64) float64 {
	v.s.setCoefs(f.at, f.faults)
	c := v.s.coef.Clone()
	if times > 1 {
		c.Filter = math.Max(c.Filter, times)
	}
	st := v.s.m.NewState()
	if st.Solve(&c, cfg) != nil {
		return 0
	}
	return st.PortFlow(port)
}

// judgedConfig is a gate setting in which velocities are judged.
type judgedConfig struct {
	cfg  airflow.Config
	open readings.Open
}

// configs: the settings in use, what the user names and what the survey was
// taken in. Where none is said to be in use: each port's gates alone, usual
// pairs and all open.
func (v *verification) configs() []judgedConfig {
	m := v.s.m
	var out []judgedConfig
	seen := map[string]bool{}
	add := func(o readings.Open) {
		c, err := m.Configure(o.All, o.Gates, nil)
		if err != nil || seen[key(c)] || len(o.Gates) == 0 && !o.All {
			return
		}
		seen[key(c)] = true
		out = append(out, judgedConfig{c, o})
	}
	for _, o := range inUse(m) {
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
	for _, c := range v.all.configs {
		add(c.open)
	}
	if guessed {
		add(readings.Open{All: true})
	}
	return out
}

func key(c airflow.Config) string {
	b := make([]byte, len(c.Open))
	for i, o := range c.Open {
		b[i] = '0'
		if o {
			b[i] = '1'
		}
	}
	return string(b)
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
			o := readings.Open{Gates: append(aloneOpen(m, i).Gates, aloneOpen(m, j).Gates...)}
			sort.Strings(o.Gates)
			k := 0
			for x, g := range o.Gates {
				if x == 0 || g != o.Gates[x-1] {
					o.Gates[k] = g
					k++
				}
			}
			o.Gates = o.Gates[:k]
			out = append(out, o)
		}
	}
	return out
}

// velocities: every duct on the way of an open port against its conveying velocity.
func (v *verification) velocities(c judgedConfig) {
	m := v.s.m
	on := make([]bool, len(m.Sys.Ducts))
	for i, ok := range reach(m, c.cfg) {
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
	form := v.form(c.cfg)
	design := v.byPage(c.cfg, probes)
	speeds := map[int]float64{}
	v.speeds[key(c.cfg)] = speeds
	for k, x := range v.mixes(c, probes, ducts, form) {
		if len(x.w) == 0 || design == nil {
			continue
		}
		l := v.onlyIfRead(lineOf(Carrying, m.Sys.Ducts[ducts[k]].ID, c.open, units.Velocity, &x, v.least(ducts[k]), 0), c.cfg, ducts[k])
		l.Design, speeds[ducts[k]] = design[k], l.Value.Value
		v.show(&l, c.cfg, probes[k])
		v.out.Lines = append(v.out.Lines, l)
	}
}

// least is a duct's conveying velocity.
func (v *verification) least(d int) float64 {
	if v.trunk[d] {
		return v.out.Convey.Main
	}
	return v.out.Convey.Branch
}

// pressures: each static pressure that was read against that of the design.
func (v *verification) pressures() {
	m := v.s.m
	type at struct {
		cfg   int
		point string
	}
	seen := map[at]bool{}
	for _, o := range v.all.obs {
		rd := v.all.survey.Readings[o.reading]
		if rd.Quantity != units.StaticPressure && rd.Quantity != units.Suction || seen[at{o.cfg, rd.Point}] {
			continue
		}
		seen[at{o.cfg, rd.Point}] = true
		c := v.all.configs[o.cfg]
		probe, err := m.ProbeAt(rd.Point, units.Suction)
		if err != nil || len(c.hoseOff) > 0 {
			continue
		}
		design := v.byPage(c.Config, []airflow.Probe{probe})
		x := &v.mixes(judgedConfig{c.Config, c.open}, []airflow.Probe{probe}, []int{v.s.ductAt(rd.Point)}, ownForm)[0]
		if len(x.w) == 0 || design == nil || design[0] <= 0 {
			continue
		}
		l := lineOf(TapPressure, rd.Point, c.open, units.Pressure, x, (1-v.opt.Tolerance)*design[0], (1+v.opt.Tolerance)*design[0])
		l.Design = design[0]
		v.show(&l, c.Config, probe)
		v.out.Lines = append(v.out.Lines, l)
	}
}

// fault: is anything else wrong?
func (v *verification) fault() {
	r := v.out.Result
	v.out.Lines = append(v.out.Lines, Line{Topic: NoFault, Dimension: units.Share, Least: decidedAt, Holds: clampP(r.Sound), Outcome: judged(r.Sound),
		Value: Interval{r.Sound, r.Sound, r.Sound}, Remark: v.faultRemark()})
}

func (v *verification) faultRemark() string {
	for _, f := range v.out.Result.Faults {
		if ofSystem(f) {
			return "the diagnosis names " + f.Kind.String() + " at " + f.Where
		}
	}
	return ""
}
