package verify

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/fault"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/route"
	"lostair/readings"
	"lostair/readings/units"
)

// row is a shop of alike drops on one main; words of the collector, a gate and a need
// of each drop may be given: n drops have them from the lists, by turns.
func row(n int, collector string, needs ...string) string {
	var b strings.Builder
	b.WriteString("units: metric\ncollector:\n  inlet: 300\n  fan: {curve: [[0, 2500], [6000, 2000], [9000, 0]]}\n" + collector +
		"ducts:\n  - {id: main, into: collector, diameter: 300, length: 6, material: spiral, taps: {M: 3}}\n")
	for i := range n {
		fmt.Fprintf(&b, "  - {id: d%d, into: main, enters: 45, diameter: 100, length: 3, material: spiral, gate: g%d, taps: {T%d: 1}}\n", i, i, i)
	}
	b.WriteString("ports:\n")
	for i := range n {
		need := ""
		if len(needs) > 0 {
			need = needs[i%len(needs)]
		}
		fmt.Fprintf(&b, "  - {id: p%d, duct: d%d, hood: 0.5%s}\n", i, i, need)
	}
	return b.String()
}

const withFilter = "  filter: {drop: 200, at: 3000}\n"

func modelOf(t *testing.T, page string) *airflow.Model {
	t.Helper()
	sys, bad := systemfile.Load([]byte(page), "row.yaml")
	require.NoError(t, bad.Err())
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	return m
}

// byThePage is a verification whose likeliest system is that of the page.
func byThePage(t *testing.T, page string) *Verification {
	t.Helper()
	m := modelOf(t, page)
	b := &observe.Bound{Survey: &readings.Survey{}}
	u := asbuilt.NewUnknowns(m)
	l := fit.NewLayout(u, b)
	s := fit.NewStudy(m, u, l, b, fit.Prior{Mean: make([]float64, l.N), Scale: 1})
	f := &fit.Fit{At: fit.Point{Theta: make([]float64, s.N)}}
	trunk, passes := route.Trunks(m.Sys), route.All(m)
	return &Verification{S: s, all: b, written: m, Sets: []*fit.Fit{f}, trunk: trunk, Passes: passes,
		opt: Options{Tolerance: UsualTolerance, Filter: UsualFilter}, Out: &Report{Convey: handbook.Convey{Branch: 20, Main: 18}}}
}

// solved is the page's system with these gates open and its filter loaded.
func solved(t *testing.T, m *airflow.Model, filter float64, gates ...string) *airflow.State {
	t.Helper()
	cfg, err := m.Configure(false, gates, nil)
	require.NoError(t, err)
	c := m.Coefs()
	c.Filter = filter
	st := m.NewState()
	require.NoError(t, st.Solve(&c, cfg))
	return st
}

// A value of mean 10 and deviation 3 whose form may be off by 0.4 of it has a deviation
// of 5; nine in ten lie within 1.645 of those, seven in ten within 1.036 (table of the
// normal distribution).
func TestWhatALineSaysOfANormalValue(t *testing.T) {
	x := &mix{form: 0.4}
	x.take(1, fit.Estimate{Mean: 10, Sd: 3})
	v := x.interval()
	require.InDelta(t, 10-1.645*5, v.Low, 0.01)
	require.InDelta(t, 10, v.Value, 1e-6)
	require.InDelta(t, 10+1.645*5, v.High, 0.01)
	require.InDelta(t, 0.95, x.between(v.Low, 0), 1e-6, "no upper end")
	require.InDelta(t, 0.90, x.between(v.Low, v.High), 1e-6)
	require.InDelta(t, 0.7, x.between(10-1.0364*5, 10+1.0364*5), 1e-4)
	require.InDelta(t, 0.5, x.between(-100, 10), 1e-6, "a lower end that holds anyhow")

	two := &mix{}
	two.take(0.75, fit.Estimate{Mean: 1, Sd: 0.01})
	two.take(0.25, fit.Estimate{Mean: 3, Sd: 0.01})
	require.InDelta(t, 0.25, two.between(2, 0), 1e-9)
	require.InDelta(t, 0.75, two.between(0, 2), 1e-9)

	open := readings.Open{Gates: []string{"g0"}}
	l := lineOf(TapPressure, "M", open, units.Pressure, two, 2, 4)
	require.Equal(t, Line{Topic: TapPressure, Where: "M", Open: open, Dimension: units.Pressure, Value: two.interval(),
		Least: 2, Most: 4, Holds: l.Holds, Outcome: NotShown}, l)
	require.InDelta(t, 0.25, l.Holds, 1e-9)
	require.Equal(t, Pass, lineOf(PortNeed, "p0", open, units.Flow, two, 0.5, 0).Outcome)
	require.Equal(t, Fail, lineOf(PortNeed, "p0", open, units.Flow, two, 3.5, 0).Outcome)
}

// A line about a probability shows that and no more.
func TestALineAboutAProbability(t *testing.T) {
	for p, want := range map[float64]Outcome{0.97: Pass, 0.6: NotShown, 0.02: Fail} {
		require.Equal(t, Line{Topic: NoFault, Where: "x", Dimension: units.Share, Value: fault.Interval{Value: p, Low: p, High: p},
			Least: 0.95, Holds: p, Outcome: want}, certainty(NoFault, "x", p))
	}
	require.Equal(t, 1.0, certainty(NoFault, "", 1.0000001).Holds)
	v := &Verification{Out: &Report{Result: &diagnose.Result{Broken: 0.3}}}
	v.fault()
	require.InDelta(t, 0.7, v.Out.Lines[0].Holds, 1e-12)
	require.Nil(t, v.Out.Lines[0].Named)
}

// The fan's line counts what speaks for a weak fan and nothing else; where it is open,
// suction at the fan's inlet shows it, with all gates shut too.
func TestTheFansLine(t *testing.T) {
	sites := func(probability ...float64) *Verification {
		v := byThePage(t, row(2, ""))
		v.Sets = nil
		g := &search.Search{}
		for _, k := range []fault.Kind{fault.Blockage, fault.FanWeak, fault.FanWeak, fault.Leak} {
			g.Sites = append(g.Sites, &fault.Site{Kind: k})
		}
		v.p = &weigh.Posterior{G: g, Site: probability}
		v.byDesign()
		v.collector()
		return v
	}
	l := sites(0.9, 0.01, 0.02, 0.8).Out.Lines[0]
	require.Equal(t, Pass, l.Outcome)
	require.InDelta(t, 0.97, l.Holds, 1e-12)
	require.Nil(t, l.Show)
	l = sites(0, 0.2, 0.1, 0).Out.Lines[0]
	require.Equal(t, NotShown, l.Outcome)
	require.Equal(t, &ToRead{Point: readings.FanInlet, Quantity: units.StaticPressure, ShutToo: true}, l.Show)
	v := sites(0, 0.6, 0.38, 0)
	require.Equal(t, Fail, v.Out.Lines[0].Outcome)
	require.Nil(t, v.Out.Lines[0].Show)
	require.Equal(t, FanPlace{}, v.Out.Fan, "no set says where the fan runs, and there is no filter")
}

// By design means that the page's own figure misses the demand, of a need or a velocity.
func TestByDesign(t *testing.T) {
	for _, x := range []struct {
		l    Line
		want bool
	}{
		{Line{Topic: PortNeed, Design: 0.9, Least: 1}, true},
		{Line{Topic: Carrying, Design: 0.9, Least: 1}, true},
		{Line{Topic: PortDesign, Design: 0.9, Least: 1}, false},
		{Line{Topic: FilterRoom, Design: 0.9, Least: 1}, false},
		{Line{Topic: PortNeed, Design: 1, Least: 1}, false},
		{Line{Topic: PortNeed, Design: 1.5, Least: 1}, false},
		{Line{Topic: PortNeed, Design: 0, Least: 1}, false},
		{Line{Topic: PortNeed, Design: 1.5, Least: 1, Most: 2}, false},
		{Line{Topic: PortNeed, Design: 2.5, Least: 1, Most: 2}, true},
		{Line{Topic: PortNeed, Design: 0.5, Least: 0.1, Most: 0.4}, true},
		{Line{Topic: PortNeed, Design: 2, Least: 1, Most: 2}, false},
	} {
		require.Equal(t, x.want, x.l.ByDesign(), "%+v", x.l)
	}
}

// A share of the curve's last point and of its peak, at the density of the air; a curve
// without density is one of standard air, 1.204 kg/m3.
func TestPlaceOnTheCurve(t *testing.T) {
	place := func(density, air float64) (float64, float64) {
		m := modelOf(t, row(2, ""))
		m.Sys.Collector.Density, m.Air.Density = density, air
		return ofCurve(m, 0.5, 500)
	}
	free, peak := place(0, 1.204)
	require.InDelta(t, 0.5/(9000./3600), free, 1e-9)
	require.InDelta(t, 500./2500, peak, 1e-9)
	_, peak = place(0, 0.602)
	require.InDelta(t, 500./1250, peak, 1e-9, "half as dense, half the peak")
	_, peak = place(0.8, 1.2)
	require.InDelta(t, 500./3750, peak, 1e-9)

	none := modelOf(t, row(2, ""))
	for _, curve := range [][]duct.CurvePoint{{{Flow: 0, Pressure: 2500}, {Flow: 0, Pressure: 0}}, {{Flow: 0, Pressure: 0}, {Flow: 2, Pressure: 0}}} {
		none.Sys.Collector.Curve = curve
		free, peak = ofCurve(none, 0.5, 500)
		require.Zero(t, free)
		require.Zero(t, peak)
	}
	none.Sys.Collector.Curve = []duct.CurvePoint{{Flow: 0, Pressure: 0.5}, {Flow: 0.4, Pressure: 0}}
	free, peak = ofCurve(none, 0.2, 0.25)
	require.InDelta(t, 0.5, free, 1e-9, "a fan as small as a model")
	require.Positive(t, peak)
}

// A filter is behind the fan if it comes after it on the air's way.
func TestFilterBehindFan(t *testing.T) {
	f := &duct.Drop{}
	for _, x := range []struct {
		c    duct.Collector
		want bool
	}{
		{duct.Collector{Order: []duct.Part{duct.Cyclone, duct.Fan, duct.Filter}, Filter: f}, true},
		{duct.Collector{Order: []duct.Part{duct.Fan}}, false},
		{duct.Collector{Order: []duct.Part{duct.Filter, duct.Fan}, Filter: f}, false},
		{duct.Collector{}, false},
	} {
		require.Equal(t, x.want, filterBehindFan(x.c), "%+v", x.c)
	}
}

// Where no settings are named any two ports of a shop of up to six gates are a pair, of
// a larger one those that stand next to each other; a gate is named once.
func TestUsualPairs(t *testing.T) {
	names := func(page string) (out []string) {
		for _, o := range usualPairs(modelOf(t, page)) {
			out = append(out, o.String())
		}
		return out
	}
	require.Equal(t, []string{"g0+g1", "g0+g2", "g1+g2"}, names(row(3, "")))
	require.Len(t, names(row(6, "")), 6*5/2)
	require.Equal(t, []string{"g0+g1", "g1+g2", "g2+g3", "g3+g4", "g4+g5", "g5+g6"}, names(row(7, "")))
	behind := strings.Replace(row(2, ""), "diameter: 300, length: 6, material: spiral", "diameter: 300, length: 6, material: spiral, gate: all-of-it", 1)
	require.Equal(t, []string{"all-of-it+g0+g1"}, names(behind))
}

// Settings are judged once each: those in use, those asked for, those of the survey; a
// shop without any has its ports alone, pairs and all of it. No gates at all is none.
func TestSettingsJudged(t *testing.T) {
	names := func(page string, asked ...string) (out []string) {
		v := byThePage(t, page)
		for _, s := range asked {
			o, err := readings.ParseOpen(s)
			require.NoError(t, err)
			v.opt.Open = append(v.opt.Open, o)
		}
		for _, s := range []string{"g1", "none", "g0+g2"} {
			o, err := readings.ParseOpen(s)
			require.NoError(t, err)
			cfg, err := v.S.M.Configure(o.All, o.Gates, nil)
			require.NoError(t, err)
			v.all.Configs = append(v.all.Configs, observe.Gates{Config: cfg, Open: o})
		}
		for _, c := range v.configs() {
			want, err := v.S.M.Configure(c.Open.All, c.Open.Gates, nil)
			require.NoError(t, err)
			require.Equal(t, want, c.Cfg)
			out = append(out, c.Open.String())
		}
		return out
	}
	require.Equal(t, []string{"g0", "g1", "g2", "g0+g1", "g0+g2", "g1+g2", "all"}, names(row(3, ""), "g0+g1", "nosuch", "none"))
	require.Equal(t, []string{"g2", "g0+g1", "g1", "g0+g2"}, names(row(3, "")+"settings: [g2]\n", "g0+g1"))
	require.Equal(t, []string{"all", "g1", "g0+g2"}, names(row(3, "")+"settings: [all]\n", "g0+g1+g2"))
}

// One port alone has the model's own form, half a percent of flow (common practice, no
// source); where several meet, that of joins.
func TestFormOfASetting(t *testing.T) {
	v := byThePage(t, row(3, ""))
	for gates, want := range map[string]float64{"g0": 0.005, "g0,g1": diagnose.JoinForm, "g0,g1,g2": diagnose.JoinForm} {
		cfg, err := v.S.M.Configure(false, strings.Split(gates, ","), nil)
		require.NoError(t, err)
		require.Equal(t, want, v.form(cfg), gates)
	}
}

// A loaded filter multiplies the clean drop of the page; a share of it or none changes nothing.
func TestAFiltersLoad(t *testing.T) {
	v := byThePage(t, row(2, withFilter))
	cfg, err := v.S.M.Configure(false, []string{"g0", "g1"}, nil)
	require.NoError(t, err)
	for _, k := range []float64{1, 1.5, 2, 5} {
		require.InEpsilon(t, solved(t, v.S.M, k, "g0", "g1").PortFlow(0), v.withFilter(v.Sets[0], 0, cfg, k), 1e-6, "%g", k)
	}
}

// The load that a plant bears is the least at which a port falls under its need, of
// those that have one and get it now, and never more than fifty times.
func TestTheLoadThatAFilterBears(t *testing.T) {
	clean := byThePage(t, row(3, withFilter))
	at := func(port int, load float64) float64 {
		return solved(t, clean.S.M, load, fmt.Sprint("g", port)).PortFlow(port)
	}
	for _, x := range []struct {
		needs [3]float64
		bears float64
		first string
	}{
		{[3]float64{at(0, 3), at(1, 1.1), at(2, 7)}, 1.1, "p1"},
		{[3]float64{at(0, 30), at(1, 20), 0}, 20, "p1"},
		{[3]float64{at(0, 60), 0, 0}, 50, "p0"},
		{[3]float64{1.1 * at(0, 1), at(1, 6), 0}, 6, "p1"},
		{[3]float64{1.1 * at(0, 1), 0, 0}, 0, ""},
		{[3]float64{}, 0, ""},
	} {
		v := byThePage(t, row(3, withFilter))
		for i := range x.needs {
			v.S.M.Sys.Ports[i].Need = x.needs[i]
		}
		bears, first := v.bears(v.S.M)
		require.InDelta(t, x.bears, bears, 1e-3)
		require.Equal(t, x.first, first)
	}
	v := byThePage(t, row(3, ""))
	v.S.M.Sys.Ports[0].Need = 0.01
	bears, first := v.bears(v.S.M)
	require.Zero(t, bears)
	require.Empty(t, first)
}

// A supply is a tenth more than what the ports give alone and what leaks with all shut.
func TestSupplyIsBoundedByThePortsAlone(t *testing.T) {
	m := modelOf(t, row(3, ""))
	c, st := m.Coefs(), m.NewState()
	s := NewSupply(m, st, &c)
	leaks := solved(t, m, 1).Value(m.ProbeDuct(0, units.FlowRate))
	most := leaks + solved(t, m, 1, "g0").PortFlow(0) + solved(t, m, 1, "g2").PortFlow(2)
	cfg, err := m.Configure(false, []string{"g0", "g2"}, nil)
	require.NoError(t, err)
	require.True(t, s.Could(cfg, []int{0}, []float64{1.099 * most}))
	require.False(t, s.Could(cfg, []int{0}, []float64{1.101 * most}))
	require.False(t, s.Could(cfg, []int{0, 2}, []float64{0.5 * most, 0.5 * most}), "g1 is shut")
}

// The gates opened beside others are the fewest with which all the ducts carry, and of
// equal sets those with which the fewest ports fall under their need: up to three, of
// more than 25 shut gates up to two, of more than a hundred only one.
func TestTheFewestGates(t *testing.T) {
	fewest := func(v *Verification, main float64, open ...string) (gates, short []string) {
		v.Out.Convey.Main, v.Out.Convey.Branch = main, 0.1
		cfg, err := v.S.M.Configure(false, open, nil)
		require.NoError(t, err)
		c, st := v.S.M.Coefs(), v.S.M.NewState()
		return v.fewest(st, &c, NewSupply(v.S.M, st, &c), cfg, route.Of(v.S.M, 0))
	}
	speed := func(v *Verification, open ...string) float64 { // a bit less than the main's with these open
		return 0.999 * solved(t, v.S.M, 1, open...).Value(v.S.M.ProbeDuct(0, units.MeanVelocity))
	}
	v := byThePage(t, row(5, ""))
	for n, want := range [][]string{1: {"g1"}, 2: {"g1", "g2"}, 3: {"g1", "g2", "g3"}, 4: nil} {
		if n == 0 {
			continue
		}
		gates, short := fewest(v, speed(v, []string{"g0", "g1", "g2", "g3", "g4"}[:n+1]...), "g0")
		require.Equal(t, want, gates)
		require.Empty(t, short)
	}
	gates, _ := fewest(v, 100, "g0")
	require.Nil(t, gates)

	// g1 and g2 would rob their own ports, of which p1 and p2 need more than they get
	v = byThePage(t, row(4, ""))
	need := solved(t, v.S.M, 1, "g0", "g1").PortFlow(1)
	for i, k := range []float64{1.02, 1.01, 1.01, 0.9} {
		v.S.M.Sys.Ports[i].Need = k * need
	}
	gates, short := fewest(v, speed(v, "g0", "g1"), "g0")
	require.Equal(t, []string{"g3"}, gates)
	require.Equal(t, []string{"p0"}, short)
	v.S.M.Sys.Ports[0].Need, v.S.M.Sys.Ports[3].Need = 0, 1.01*need
	gates, short = fewest(v, speed(v, "g0", "g1"), "g0")
	require.Equal(t, []string{"g1"}, gates, "the first of equal ones")
	require.Equal(t, []string{"p1"}, short)

	for _, x := range []struct{ drops, beside int }{{26, 3}, {27, 2}, {101, 2}, {102, 1}} {
		v := byThePage(t, strings.NewReplacer("diameter: 300", "diameter: 600", "inlet: 300", "inlet: 600").Replace(row(x.drops, "")))
		all := []string{"g0", "g1", "g2", "g3"}
		gates, _ := fewest(v, speed(v, all[:x.beside+1]...), "g0")
		require.Len(t, gates, x.beside, "%d drops", x.drops)
		if x.beside < 3 {
			gates, _ = fewest(v, speed(v, all[:x.beside+2]...), "g0")
			require.Nil(t, gates, "%d drops", x.drops)
		}
	}
}

// Dust that lies on the way of several ports in one setting is told once. Where no
// gates help while a port is in use, those are named that clear the main afterwards;
// a port without a gate, whose setting is none, is judged too.
func TestWhereDustLies(t *testing.T) {
	v := byThePage(t, row(3, "")+"settings: [g0+g1, g2]\n")
	main := func(gates ...string) float64 {
		return solved(t, v.S.M, 1, gates...).Value(v.S.M.ProbeDuct(0, units.MeanVelocity))
	}
	v.Out.Convey.Main, v.Out.Convey.Branch = 1.001*main("g0", "g1"), 1
	v.carry()
	require.Len(t, v.Out.Carry, 2)
	both, one := v.Out.Carry[0], v.Out.Carry[1]
	require.Equal(t, "p0", both.Port)
	require.Equal(t, "g0+g1", both.Open.String())
	require.Len(t, both.Slow, 1)
	require.InEpsilon(t, main("g0", "g1"), both.Slow[0].Velocity, 1e-6)
	require.Equal(t, SlowDuct{"main", both.Slow[0].Velocity, v.Out.Convey.Main}, both.Slow[0])
	require.Equal(t, []string{"g2"}, both.Together)
	require.Nil(t, both.Clear)
	require.Equal(t, "p2", one.Port)
	require.Equal(t, []string{"g0", "g1"}, one.Together)

	// what the lines say of a setting goes before the likeliest fit
	v.Out.Carry = nil
	cfg, err := v.S.M.Configure(false, []string{"g2"}, nil)
	require.NoError(t, err)
	v.speeds = map[string]map[int]float64{key(cfg): {0: 2 * v.Out.Convey.Main}}
	v.carry()
	require.Len(t, v.Out.Carry, 1)

	// d2 is so wide that dust lies in it whatever else is open
	wide := strings.Replace(row(3, ""), "{id: d2, into: main, enters: 45, diameter: 100", "{id: d2, into: main, enters: 45, diameter: 250", 1)
	v = byThePage(t, wide)
	v.Out.Convey.Main, v.Out.Convey.Branch = 1.001*main("g0"), 30
	v.S.M.Sys.Ports[0].Need = 10
	v.carry()
	for _, c := range v.Out.Carry {
		if c.Port == "p2" {
			require.Nil(t, c.Together)
			require.NotEmpty(t, c.Clear)
		}
	}

	v = byThePage(t, strings.Replace(row(3, ""), "gate: g2, ", "", 1))
	v.Out.Convey.Main, v.Out.Convey.Branch = 100, 1
	v.carry()
	require.Len(t, v.Out.Carry, 3)
	require.Equal(t, "none", v.Out.Carry[2].Open.String())
	require.Positive(t, v.Out.Carry[2].Slow[0].Velocity)
}

// Open ports that get less than they need, and no others.
func TestPortsUnderTheirNeed(t *testing.T) {
	v := byThePage(t, row(4, ""))
	st := solved(t, v.S.M, 1, "g0", "g1", "g2")
	for i, k := range []float64{1.001, 0.999, 0, 0} {
		v.S.M.Sys.Ports[i].Need = k * st.PortFlow(i)
	}
	v.S.M.Sys.Ports[3].Need = 1
	cfg, err := v.S.M.Configure(false, []string{"g0", "g1", "g2"}, nil)
	require.NoError(t, err)
	require.Equal(t, []string{"p0"}, v.under(st, cfg))
}

// Readings that are likelier not what they say they are, or weren't looked at to the
// end, decide nothing.
func TestReadingsThatDecideNothing(t *testing.T) {
	for _, x := range []struct {
		r    diagnose.Result
		want Outcome
	}{
		{diagnose.Result{Unlisted: 0.5}, Pass},
		{diagnose.Result{Unlisted: 0.51}, NotShown},
		{diagnose.Result{Unlisted: 0.1, Unfinished: true}, NotShown},
	} {
		out := &Report{Result: &x.r, Lines: []Line{{Outcome: Pass, Show: &ToRead{}}, {Outcome: Pass, Show: &ToRead{}}}}
		out.leaveOpen()
		for _, l := range out.Lines {
			require.Equal(t, x.want, l.Outcome)
			require.Equal(t, x.want == NotShown, l.Show == nil)
		}
	}
}

// What is of a branch that the page lacks is left out of the lines and the gates to open.
func TestOnlyWhatThePageHas(t *testing.T) {
	gates := func(g ...string) readings.Open { return readings.Open{Gates: g} }
	out := &Report{
		Lines: []Line{{Where: "p0", Open: gates("g0")}, {Where: doubt.AddedID}, {Where: doubt.AddedPort}, {Where: "p1", Open: gates("g1", doubt.AddedID)}, {Where: "p1", Open: gates("g1")}},
		Carry: []CarryNeed{{Port: "p0", Open: gates("g0")}, {Port: doubt.AddedPort}, {Port: "p1", Open: gates(doubt.AddedID)}, {Port: "p1"}},
	}
	out.onlyWritten()
	require.Equal(t, []Line{{Where: "p0", Open: gates("g0")}, {Where: "p1", Open: gates("g1")}}, out.Lines)
	require.Equal(t, []CarryNeed{{Port: "p0", Open: gates("g0")}, {Port: "p1"}}, out.Carry)
}

// A drop that is too small is named from one chance in twenty.
func TestDropsThatAreTooSmall(t *testing.T) {
	v := byThePage(t, row(3, ""))
	v.sizes([]weigh.SmallPort{{Port: 0, Duct: 1, Probability: 0.049}, {Port: 2, Duct: 3, Probability: 0.05, Diameter: fault.Interval{Value: 0.12}}})
	require.Equal(t, []SizeNeed{{"p2", "d2", 0.05, fault.Interval{Value: 0.12}}}, v.Out.Sizes)
}

// A large plant is held against its design by the likeliest set of faults alone.
func TestSetsLookedAt(t *testing.T) {
	p := &weigh.Posterior{G: &search.Search{}, Sets: []*fit.Fit{{}, {}}, Weight: []float64{0.6, 0.4}}
	p.G.S = byThePage(t, row(2, "")).S
	sets, weights := lookedAt(60, p)
	require.Len(t, sets, 2)
	require.Equal(t, []float64{0.6, 0.4}, weights)
	sets, weights = lookedAt(61, p)
	require.Len(t, sets, 1)
	require.Same(t, p.Sets[0], sets[0])
	require.Equal(t, []float64{1}, weights)
}

// What could be read is the mouths of the open ports and the taps on their ways, each
// once, with the system's own instruments where it names them.
func TestWhatCouldBeRead(t *testing.T) {
	list := func(page string, gates ...string) (names []string, by map[string]observe.Instrument) {
		v := byThePage(t, page)
		cfg, err := v.S.M.Configure(false, gates, nil)
		require.NoError(t, err)
		by = map[string]observe.Instrument{}
		for _, c := range v.Candidates(cfg) {
			mouth := ""
			if c.Read.Mouth {
				mouth = " mouth"
			}
			names = append(names, c.Read.Point+" "+c.Read.Quantity.String()+mouth)
			by[c.Read.Quantity.String()] = c.By
			require.Equal(t, c.Read.Quantity, c.Probe.Quantity())
		}
		return names, by
	}
	names, by := list(row(3, ""), "g0", "g2")
	require.Equal(t, []string{"p0 velocity mouth", "T0 static_pressure", "T0 velocity", "M static_pressure", "M velocity",
		"p2 velocity mouth", "T2 static_pressure", "T2 velocity"}, names)
	require.Equal(t, observe.AnyManometer, by["static_pressure"])
	require.Equal(t, observe.AnyAnemometer, by["velocity"])
	names, by = list(row(3, "")+"instruments:\n  - {id: vane, measures: velocity, of_reading: 3%, floor: 0.2 m/s}\n  - {id: gauge, measures: pressure, of_reading: 1%, floor: 3 Pa}\n", "g1")
	require.Len(t, names, 5)
	require.Equal(t, observe.Instrument{Id: "gauge", Measures: units.Pressure, OfReading: 0.01, Floor: 3}, by["static_pressure"])
	require.Equal(t, observe.Instrument{Id: "vane", Measures: units.Velocity, OfReading: 0.03, Floor: 0.2}, by["velocity"])
	names, _ = list(row(3, ""))
	require.Empty(t, names)
}

// A point counts as read in a setting if a row says so of both.
func TestWhatWasRead(t *testing.T) {
	open := func(g ...string) readings.Open { return readings.Open{Gates: g} }
	v := &Verification{all: &observe.Bound{Survey: &readings.Survey{Readings: []readings.Reading{{Point: "M", Open: open("g0")}, {Point: "T1", Open: open("g1")}}}}}
	require.True(t, v.hasRead("M", open("g0")))
	require.True(t, v.hasRead("T1", open("g1")))
	require.False(t, v.hasRead("M", open("g1")))
	require.False(t, v.hasRead("T0", open("g0")))
}

// Several surveys are one: their files, all readings, and each one's own rows.
func TestSeveralSurveysAsOne(t *testing.T) {
	one := &readings.Survey{File: "a.csv", Rows: []readings.Row{{Point: "A"}, {Point: "B"}}, Readings: []readings.Reading{{Point: "AB", Rows: []int{0, 1}}}}
	two := &readings.Survey{File: "b.csv", Rows: []readings.Row{{Point: "C"}, {Point: "D"}}, Readings: []readings.Reading{{Point: "D", Rows: []int{1}}, {Point: "C", Rows: []int{0}}}}
	require.Same(t, two, Together([]*readings.Survey{two}))
	both := Together([]*readings.Survey{one, two})
	require.Equal(t, "a.csv, b.csv", both.File)
	require.Len(t, both.Rows, 4)
	var rows [][]int
	for _, r := range both.Readings {
		rows = append(rows, r.Rows)
	}
	require.Equal(t, [][]int{{0, 1}, {3}, {2}}, rows)
	require.Equal(t, []int{1}, two.Readings[0].Rows, "the surveys stay as they were")
}

// The ports whose air passes a duct are the open ones that draw through it; the
// collector is passed by all.
func TestWhoseAirPasses(t *testing.T) {
	v := &Verification{Passes: [][]bool{{true, false}, {false, true}, {true, true}}}
	require.Equal(t, []int{0, 2}, v.Through([]bool{true, true, true}, 0))
	require.Equal(t, []int{1}, v.Through([]bool{true, true, false}, 1))
	require.Equal(t, []int{0, 1}, v.Through([]bool{true, true, false}, -1))
}

// A flow and a pressure stand beside the ends of a fan's curve, the pressure at the air's
// density; beside a guess they stand for nothing.
func TestBesideTheFansCurve(t *testing.T) {
	page := row(2, withFilter)
	free, peak := ofCurve(modelOf(t, page), 4500.0/3600, 1250)
	require.InDelta(t, 0.5, free, 1e-6)
	require.InDelta(t, 0.5, peak, 0.02)
	guess := strings.Replace(page, "fan: {curve: [[0, 2500], [6000, 2000], [9000, 0]]}", "fan: {motor: 2.2 kW, wheel: 330}", 1)
	free, peak = ofCurve(modelOf(t, guess), 4500.0/3600, 1250)
	require.Equal(t, []float64{0, 0}, []float64{free, peak})
}
