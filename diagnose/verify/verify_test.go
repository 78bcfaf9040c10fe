package verify_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/route"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
	"lostair/diagnose/verify"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// Pass and fail agree with the truth in at least 95 % of the lines decided.
func TestVerifyAgreesWithTheTruth(t *testing.T) {
	n := kit.CasesOr(t, 8)
	right, wrong, open := 0, 0, 0
	for seed := range n {
		c, err := trial.NewCase(uint64(4000+seed), trial.Options{Ports: 3 + seed%6, Style: survey.Normal})
		require.NoError(t, err)
		v, err := verify.Verify(context.Background(), c.System, []*readings.Survey{c.Survey}, verify.Options{Baselines: c.Baselines})
		require.NoError(t, err)
		for _, l := range v.Lines {
			if l.Outcome == verify.NotShown {
				open++
				continue
			}
			truth, known := kit.TrulyHolds(t, c, l)
			switch {
			case !known:
			case truth == (l.Outcome == verify.Pass):
				right++
			default:
				wrong++
				t.Logf("seed %d: %s %s with %s: %s at %.3f", 4000+seed, l.Topic, l.Where, l.Open, l.Outcome, l.Holds)
			}
		}
	}
	t.Logf("decided lines: %d right, %d wrong; %d not shown", right, wrong, open)
	require.Greater(t, right, 20*n)
	require.GreaterOrEqual(t, float64(right), 0.95*float64(right+wrong))
}

func demoVerified(t *testing.T, opt verify.Options) *verify.Report {
	t.Helper()
	sys := kit.DemoSystem(t)
	s, list := readings.LoadFile(kit.Root(t)+"/cmd/lostair/demo/when-sound.csv", sys.Units)
	require.NoError(t, list.Err())
	v, err := verify.Verify(context.Background(), sys, []*readings.Survey{s}, opt)
	require.NoError(t, err)
	return v
}

func TestVerifyWhatTheUserAsksFor(t *testing.T) {
	open, err := readings.ParseOpen("planer+saw+sander")
	require.NoError(t, err)
	v := demoVerified(t, verify.Options{Open: []readings.Open{open}, Tolerance: 0.0001, Filter: 40})
	outcomes := map[verify.Topic]map[verify.Outcome]int{}
	asked := 0
	for _, l := range v.Lines {
		if outcomes[l.Topic] == nil {
			outcomes[l.Topic] = map[verify.Outcome]int{}
		}
		outcomes[l.Topic][l.Outcome]++
		if l.Open.String() == "planer+sander+saw" {
			asked++
		}
		if l.Outcome == verify.NotShown && (l.Topic == verify.PortNeed || l.Topic == verify.PortDesign || l.Topic == verify.TapPressure) {
			require.NotEmpty(t, l.Show, "%s %s", l.Topic, l.Where)
		}
	}
	require.Positive(t, asked, "a setting that is asked for is judged")
	require.Zero(t, outcomes[verify.TapPressure][verify.Pass], "nothing lies within a hundredth of a percent")
	require.Zero(t, outcomes[verify.FilterRoom][verify.Pass], "no port bears forty times the filter's drop")
	require.Equal(t, 6, outcomes[verify.PortNeed][verify.Pass])
}

// What would show a line that is not shown is the reading that says most of it:
// the one with the largest square of covariance over variance.
func TestVerifyShowsByTheReadingThatSaysMost(t *testing.T) {
	sys := kit.DemoSystem(t)
	sv, list := readings.LoadFile(kit.Root(t)+"/cmd/lostair/demo/when-sound.csv", sys.Units)
	require.NoError(t, list.Err())
	v, err := verify.Verified(context.Background(), sys, []*readings.Survey{sv}, verify.Options{Tolerance: 0.02})
	require.NoError(t, err)
	s, f := v.S, v.Sets[0]
	asked, unread := map[string]bool{}, map[bool]int{}
	for _, l := range v.Out.Lines {
		if l.Outcome != verify.NotShown || l.Show == nil || l.Topic != verify.Carrying && l.Topic != verify.PortDesign {
			continue
		}
		cfg, err := s.M.Configure(l.Open.All, l.Open.Gates, nil)
		require.NoError(t, err)
		what := airflow.Probe{}
		if d, ok := sys.DuctNamed(l.Where); ok && l.Topic == verify.Carrying {
			what = s.M.ProbeDuct(d, units.MeanVelocity)
		} else {
			port, _ := sys.PortNamed(l.Where)
			what = airflow.PortProbe(s.M, port)[0]
		}
		s.SetCoefs(f.At, f.Faults)
		st := s.M.NewState()
		require.NoError(t, st.Solve(&s.Coef, cfg))
		st.Prepare()
		a, az := v.Gradient(st, what)
		best, most := verify.ToRead{}, 0.0
		for _, c := range v.Candidates(cfg) {
			b, bz := v.Gradient(st, c.Probe)
			noise := c.By.Sigma(st.Value(c.Probe), c.Probe.Quantity(), c.Probe, s.M.Air.Density)
			sum, sz := make([]float64, len(a)), make([]float64, len(az))
			floats.AddTo(sum, a, b)
			floats.AddTo(sz, az, bz)
			alone := s.Variance(f, b, bz)
			cov := (s.Variance(f, sum, sz) - s.Variance(f, a, az) - alone) / 2
			if g := cov * cov / (alone + noise*noise); g > most {
				best, most = c.Read, g
			}
		}
		// once more, or better, if it would narrow the line by less than a fifth or was read
		read := slices.ContainsFunc(sv.Readings, func(r readings.Reading) bool { return r.Point == best.Point && r.Open.String() == l.Open.String() })
		little := most < 0.2*s.Variance(f, a, az)
		best.Open, best.Better = l.Open, little || read
		require.Equal(t, best, *l.Show, "%s %s, %s", l.Topic, l.Where, l.Open)
		if !read {
			unread[little]++
		}
		asked[l.Open.String()] = true
	}
	require.Greater(t, len(asked), 3)
	require.Positive(t, unread[false])
}

// The zero Options demand flows and pressures within a tenth, and room for a filter that
// takes twice its clean drop; a gate that is not in the system is said, with those that are.
func TestWhatIsDemandedUnasked(t *testing.T) {
	v := demoVerified(t, verify.Options{})
	require.InDelta(t, 0.10, v.Tolerance, 1e-12)
	require.InDelta(t, 2, v.Filter, 1e-12)
	r := kit.NewRules(t)
	_, err := verify.Verify(t.Context(), r.Sys, []*readings.Survey{r.Survey(kit.Sound, kit.RuleTaps, nil)},
		verify.Options{Open: []readings.Open{{Gates: []string{"a", "d"}}}})
	var bad problem.List
	require.ErrorAs(t, err, &bad)
	require.Len(t, bad, 1)
	require.Equal(t, "rules.yaml", bad[0].File)
	require.Zero(t, bad[0].Line)
	require.Zero(t, bad[0].Column)
	require.Equal(t, `there is no gate "d" in the system file`, bad[0].What)
}

// The derivative of what is read by a fault's severity is what a small step of it changes.
func TestSlopeByASeverity(t *testing.T) {
	s, f := kit.FitOf(t)
	v := &verify.Verification{S: s, Sets: []*fit.Fit{f}}
	cfg, err := s.M.Configure(true, nil, nil)
	require.NoError(t, err)
	st := s.M.NewState()
	probe, err := s.M.ProbeAt("M", units.StaticPressure)
	require.NoError(t, err)
	at := func(step float64) float64 {
		x := f.At
		x.Z = slices.Clone(f.At.Z)
		x.Z[0] += step
		s.SetCoefs(x, f.Faults)
		require.NoError(t, st.Solve(&s.Coef, cfg))
		return st.Value(probe)
	}
	const step = 1e-4
	slope := (at(step) - at(-step)) / (2 * step)
	at(0)
	st.Prepare()
	_, gz := v.Gradient(st, probe)
	require.Len(t, gz, 1)
	require.InEpsilon(t, slope, gz[0], 1e-3)
}

// Suction is held against the design where it was read as suction or static pressure,
// each point once a setting; not with a hose off, nor where the design has none.
func TestPressuresHeldAgainstTheDesign(t *testing.T) {
	r := kit.NewRules(t)
	rows := "open,point,quantity,value,unit,instrument,hose_off\n"
	say := func(open, point, quantity string, value float64, hose string) {
		rows += fmt.Sprintf("%s,%s,%s,%.1f,Pa,gauge,%s\n", open, point, quantity, value, hose)
	}
	say("a", "M", "static_pressure", r.Read(kit.Sound, "a", "M"), "")
	say("a", "M", "suction", -r.Read(kit.Sound, "a", "M"), "")
	say("a", "A2", "suction", -r.Read(kit.Sound, "a", "A2"), "")
	say("b", "M", "suction", -r.Read(kit.Sound, "b", "M"), "")
	say("b", "B2", "suction", -r.Read(kit.Sound, "b", "B2"), "port-b")
	say("b", "M", "velocity_pressure", 300, "")
	say("b", airflow.FanOutlet, "static_pressure", r.Read(kit.Sound, "b", airflow.FanOutlet), "")
	s, bad := readings.Load(strings.NewReader(rows), "s.csv", units.Metric)
	require.NoError(t, bad.Err())
	v, err := verify.Verify(t.Context(), r.Sys, []*readings.Survey{s}, verify.Options{})
	require.NoError(t, err)
	var held []string
	for _, l := range v.Lines {
		if l.Topic == verify.TapPressure {
			held = append(held, l.Open.String()+" "+l.Where)
			require.InEpsilon(t, 0.9*l.Design, l.Least, 1e-9)
			require.InEpsilon(t, 1.1*l.Design, l.Most, 1e-9)
		}
	}
	require.Equal(t, []string{"a M", "a A2", "b M"}, held)
}

func TestWhoseAirPassesADuct(t *testing.T) {
	r := kit.NewRules(t)
	v := &verify.Verification{Passes: route.All(r.M)}
	open := []bool{true, false, true}
	require.Equal(t, []int{0, 2}, v.Through(open, -1))
	require.Equal(t, []int{0, 2}, v.Through(open, r.Duct("main")))
	require.Equal(t, []int{2}, v.Through(open, r.Duct("hose-c")))
	require.Empty(t, v.Through(open, r.Duct("drop-b")))
}

func TestVerifyCarryFindsTheFewest(t *testing.T) {
	v := demoVerified(t, verify.Options{})
	sys := v.System
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	require.NotEmpty(t, v.Carry)
	c, st := m.Coefs(), m.NewState()
	for _, n := range v.Carry {
		require.NotEmpty(t, n.Slow)
		cfg, err := m.Configure(false, n.Open.Gates, nil)
		require.NoError(t, err)
		require.NoError(t, st.Solve(&c, cfg))
		d, _ := sys.DuctNamed(n.Slow[0].Duct)
		u := st.Value(m.ProbeDuct(d, units.MeanVelocity))
		require.InEpsilon(t, u, n.Slow[0].Velocity, 0.1, "about what the page says")
		require.Less(t, n.Slow[0].Velocity, n.Slow[0].Least)
		require.True(t, n.Together == nil || n.Clear == nil)
	}
}

func TestVerifyWithoutLimitsSaysWhoseItTakes(t *testing.T) {
	c := handbook.ConveyOf(&duct.System{})
	require.InDelta(t, 20, c.Branch, 1e-9)
	require.Contains(t, c.Source, "value from memory")
	c = handbook.ConveyOf(&duct.System{Limits: duct.Limits{ConveyBranch: 18, ConveyMain: 16}})
	require.Equal(t, handbook.Convey{Branch: 18, Main: 16, Source: "by the system file"}, c)
}

func TestVerifyOfSeveralFilesIsThatOfOne(t *testing.T) {
	sys := kit.DemoSystem(t)
	one, list := readings.LoadFile(kit.Root(t)+"/cmd/lostair/demo/when-sound.csv", sys.Units)
	require.NoError(t, list.Err())
	half := len(one.Readings) / 2
	a, b := *one, *one
	a.Readings, b.Readings = one.Readings[:half], one.Readings[half:]
	a.Looks, b.Looks = []readings.Row{{Look: readings.Sealed}}, []readings.Row{{Look: readings.Clean}}
	b.Air = []readings.Row{{Quantity: units.AirTemperature, Value: 290}}
	both := verify.Together([]*readings.Survey{&a, &b})
	require.Len(t, both.Readings, len(one.Readings))
	require.Equal(t, append(a.Looks, b.Looks...), both.Looks)
	require.Equal(t, b.Air, both.Air)
	for i, r := range both.Readings {
		require.Equal(t, one.Readings[i].Point, both.Rows[r.Rows[0]].Point)
	}
}

// What nothing was read of is not shown, however rare faults are: a reading with
// all gates shut, or one at the filter, shows no port to get its air.
func TestWhatWasNotReadIsNotShown(t *testing.T) {
	sys := kit.DemoSystem(t)
	verifyOf := func(rows string) *verify.Report {
		s, list := readings.Load(strings.NewReader("open,point,quantity,value,unit\n"+rows), "s.csv", sys.Units)
		require.Empty(t, list)
		v, err := verify.Verify(context.Background(), sys, []*readings.Survey{s}, verify.Options{})
		require.NoError(t, err)
		return v
	}
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	c := m.Coefs()
	st := m.NewState()
	at := func(cfg airflow.Config, point string, q units.Quantity) float64 {
		require.NoError(t, st.Solve(&c, cfg))
		p, err := m.ProbeAt(point, q)
		require.NoError(t, err)
		return st.Value(p)
	}
	none, err := m.Configure(false, nil, nil)
	require.NoError(t, err)
	shut := verifyOf("none,M1,suction," + fmt.Sprint(at(none, "M1", units.Suction)) + ",Pa\n")
	for _, l := range shut.Lines {
		if l.Topic == verify.PortNeed || l.Topic == verify.PortDesign || l.Topic == verify.Carrying || l.Topic == verify.FilterRoom {
			require.NotEqual(t, verify.Pass, l.Outcome, "%s at %s", l.Topic, l.Where)
		}
		if l.Topic == verify.PortDesign && l.Holds >= verify.DecidedAt {
			require.Equal(t, l.Where, l.Unread)
			require.NotEmpty(t, l.Show)
		}
	}
	// one port read: that one only
	p, _ := sys.PortNamed("saw")
	saw := verifyOf("saw,saw,flow," + fmt.Sprint(3600*at(route.Alone(m, p), "saw", units.FlowRate)) + ",m3/h\n")
	for _, l := range saw.Lines {
		if l.Topic == verify.PortDesign && l.Where == "saw" {
			require.Empty(t, l.Unread)
		}
		if l.Topic == verify.PortDesign && l.Where != "saw" {
			require.NotEqual(t, verify.Pass, l.Outcome, l.Where)
		}
	}
}

// An open branch that the page lacks is named, and each demand is still held against
// what the page has.
func TestAnOpenBranchThatThePageLacks(t *testing.T) {
	full := kit.RulesOf(t, strings.NewReplacer("ports:\n", "  - {id: drop-d, into: main, enters: 45, diameter: 110, length: 3, material: spiral}\nports:\n",
		"instruments:\n", "  - {id: port-d, duct: drop-d, hood: 1}\ninstruments:\n").Replace(kit.RuleShop))
	page := kit.NewRules(t)
	v, err := verify.Verified(t.Context(), page.Sys, []*readings.Survey{full.Survey(kit.Sound, kit.RuleTaps, nil)}, verify.Options{})
	require.NoError(t, err)
	require.Greater(t, len(v.S.M.Sys.Ducts), len(page.Sys.Ducts), "the likeliest system has a branch more")
	lines := map[verify.Topic]int{}
	for _, l := range v.Out.Lines {
		lines[l.Topic]++
	}
	require.Equal(t, 3, lines[verify.PortDesign])
	require.Equal(t, 36, lines[verify.TapPressure], "nine taps in four settings")
}
