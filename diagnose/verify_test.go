package diagnose

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/trial"
	"lostair/readings"
	"lostair/readings/units"
)

// trulyHolds says whether a line's demand is met in the true plant; false second
// result: the truth of it is not at hand.
func trulyHolds(t *testing.T, c *trial.Case, l Line) (bool, bool) {
	t.Helper()
	point, q := l.Where, units.FlowRate
	switch l.Topic {
	case PortNeed, PortDesign:
	case TapPressure:
		q = units.Suction
	case Carrying:
		q = units.MeanVelocity
		d, _ := c.System.DuctNamed(l.Where)
		switch x := &c.System.Ducts[d]; {
		case x.Port >= 0:
			point = c.System.Ports[x.Port].ID
		case len(x.Taps) > 0:
			point = x.Taps[0].ID
		default:
			return false, false
		}
	case NoFault:
		return c.Truth.Sound, true
	default:
		return false, false
	}
	v, err := c.Exact(l.Open, nil, point, q)
	require.NoError(t, err)
	return v >= l.Least && (l.Most == 0 || v <= l.Most), true
}

// Pass and fail agree with the truth in at least 95 % of the lines decided.
func TestVerifyAgreesWithTheTruth(t *testing.T) {
	n := casesOr(t, 8)
	right, wrong, open := 0, 0, 0
	for seed := range n {
		c, err := trial.NewCase(uint64(4000+seed), trial.Options{Ports: 3 + seed%6, Style: trial.Normal})
		require.NoError(t, err)
		v, err := Verify(context.Background(), c.System, []*readings.Survey{c.Survey}, VerifyOptions{Baselines: c.Baselines})
		require.NoError(t, err)
		for _, l := range v.Lines {
			if l.Outcome == NotShown {
				open++
				continue
			}
			truth, known := trulyHolds(t, c, l)
			switch {
			case !known:
			case truth == (l.Outcome == Pass):
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

func demoVerified(t *testing.T, opt VerifyOptions) *Verified {
	t.Helper()
	sys := demoSystem(t)
	s, list := readings.LoadFile("../cmd/lostair/demo/when-sound.csv", sys.Units)
	require.NoError(t, list.Err())
	v, err := Verify(context.Background(), sys, []*readings.Survey{s}, opt)
	require.NoError(t, err)
	return v
}

func TestVerifyWhatTheUserAsksFor(t *testing.T) {
	open, err := readings.ParseOpen("planer+saw+sander")
	require.NoError(t, err)
	v := demoVerified(t, VerifyOptions{Open: []readings.Open{open}, Tolerance: 0.0001, Filter: 40})
	outcomes := map[Topic]map[Outcome]int{}
	asked := 0
	for _, l := range v.Lines {
		if outcomes[l.Topic] == nil {
			outcomes[l.Topic] = map[Outcome]int{}
		}
		outcomes[l.Topic][l.Outcome]++
		if l.Open.String() == "planer+sander+saw" {
			asked++
		}
		if l.Outcome == NotShown && (l.Topic == PortNeed || l.Topic == PortDesign || l.Topic == TapPressure) {
			require.NotEmpty(t, l.Show, "%s %s", l.Topic, l.Where)
		}
	}
	require.Positive(t, asked, "a setting that is asked for is judged")
	require.Zero(t, outcomes[TapPressure][Pass], "nothing lies within a hundredth of a percent")
	require.Zero(t, outcomes[FilterRoom][Pass], "no port bears forty times the filter's drop")
	require.Equal(t, 6, outcomes[PortNeed][Pass])
}

// What would show a line that is not shown is the reading that says most of it:
// the one with the largest square of covariance over variance.
func TestVerifyShowsByTheReadingThatSaysMost(t *testing.T) {
	sys := demoSystem(t)
	sv, list := readings.LoadFile("../cmd/lostair/demo/when-sound.csv", sys.Units)
	require.NoError(t, list.Err())
	v, err := verify(context.Background(), sys, []*readings.Survey{sv}, VerifyOptions{Tolerance: 0.02})
	require.NoError(t, err)
	s, f := v.s, v.sets[0]
	asked := map[string]bool{}
	for _, l := range v.out.Lines {
		if l.Outcome != NotShown || l.Show == "" || l.Topic != Carrying && l.Topic != PortDesign {
			continue
		}
		cfg, err := s.m.Configure(l.Open.All, l.Open.Gates, nil)
		require.NoError(t, err)
		what := airflow.Probe{}
		if d, ok := sys.DuctNamed(l.Where); ok && l.Topic == Carrying {
			what = s.m.ProbeDuct(d, units.MeanVelocity)
		} else {
			port, _ := sys.PortNamed(l.Where)
			what = portProbe(s.m, port)[0]
		}
		s.setCoefs(f.at, f.faults)
		st := s.m.NewState()
		require.NoError(t, st.Solve(&s.coef, cfg))
		st.Prepare()
		a, az := v.gradient(st, what)
		best, most := "", 0.0
		for _, c := range v.candidates(cfg) {
			b, bz := v.gradient(st, c.probe)
			noise := c.by.sigma(st.Value(c.probe), c.probe.Quantity(), c.probe, s.m.Air.Density)
			sum, sz := make([]float64, len(a)), make([]float64, len(az))
			floats.AddTo(sum, a, b)
			floats.AddTo(sz, az, bz)
			alone := s.variance(f, b, bz)
			cov := (s.variance(f, sum, sz) - s.variance(f, a, az) - alone) / 2
			if g := cov * cov / (alone + noise*noise); g > most {
				best, most = c.name, g
			}
		}
		require.True(t, strings.HasPrefix(l.Show, best+", with "), "%s %s, %s: %s, not %s", l.Topic, l.Where, l.Open, best, l.Show)
		asked[l.Open.String()] = true
	}
	require.Greater(t, len(asked), 3)
}

func TestWhoseAirPassesADuct(t *testing.T) {
	r := newRules(t)
	v := &verification{passes: ways(r.m)}
	open := []bool{true, false, true}
	require.Equal(t, []int{0, 2}, v.through(open, -1))
	require.Equal(t, []int{0, 2}, v.through(open, r.duct("main")))
	require.Equal(t, []int{2}, v.through(open, r.duct("hose-c")))
	require.Empty(t, v.through(open, r.duct("drop-b")))
}

func TestVerifyCarryFindsTheFewest(t *testing.T) {
	v := demoVerified(t, VerifyOptions{})
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
	c := conveyOf(&duct.System{})
	require.InDelta(t, 20, c.Branch, 1e-9)
	require.Contains(t, c.Source, "value from memory")
	c = conveyOf(&duct.System{Limits: duct.Limits{ConveyBranch: 18, ConveyMain: 16}})
	require.Equal(t, Convey{18, 16, "by the system file"}, c)
}

func TestVerifyOfSeveralFilesIsThatOfOne(t *testing.T) {
	sys := demoSystem(t)
	one, list := readings.LoadFile("../cmd/lostair/demo/when-sound.csv", sys.Units)
	require.NoError(t, list.Err())
	half := len(one.Readings) / 2
	a, b := *one, *one
	a.Readings, b.Readings = one.Readings[:half], one.Readings[half:]
	both := together([]*readings.Survey{&a, &b})
	require.Len(t, both.Readings, len(one.Readings))
	for i, r := range both.Readings {
		require.Equal(t, one.Readings[i].Point, both.Rows[r.Rows[0]].Point)
	}
}

// What nothing was read of is not shown, however rare faults are: a reading with
// all gates shut, or one at the filter, shows no port to get its air.
func TestWhatWasNotReadIsNotShown(t *testing.T) {
	sys := demoSystem(t)
	verifyOf := func(rows string) *Verified {
		s, list := readings.Load(strings.NewReader("open,point,quantity,value,unit\n"+rows), "s.csv", sys.Units)
		require.Empty(t, list)
		v, err := Verify(context.Background(), sys, []*readings.Survey{s}, VerifyOptions{})
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
		if l.Topic == PortNeed || l.Topic == PortDesign || l.Topic == Carrying || l.Topic == FilterRoom {
			require.NotEqual(t, Pass, l.Outcome, "%s at %s", l.Topic, l.Where)
		}
		if l.Topic == PortDesign && l.Holds >= decidedAt {
			require.Contains(t, l.Remark, "nothing that was read tells of "+l.Where)
			require.NotEmpty(t, l.Show)
		}
	}
	// one port read: that one only
	p, _ := sys.PortNamed("saw")
	saw := verifyOf("saw,saw,flow," + fmt.Sprint(3600*at(alone(m, p), "saw", units.FlowRate)) + ",m3/h\n")
	for _, l := range saw.Lines {
		if l.Topic == PortDesign && l.Where == "saw" {
			require.Empty(t, l.Remark)
		}
		if l.Topic == PortDesign && l.Where != "saw" {
			require.NotEqual(t, Pass, l.Outcome, l.Where)
		}
	}
}
