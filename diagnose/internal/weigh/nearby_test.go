package weigh_test

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/verify"
	"lostair/readings"
	"lostair/readings/units"
)

// ofA is what is known of the flows of port-a and port-b, with both gates open,
// after a search that had no reading of drop a's: with what those still tell,
// without, and after a search that had them.
type ofA struct{ by, without, all []fit.Estimate }

func askedOfA(t *testing.T, r *kit.Rules, sv *readings.Survey) ofA {
	read, bad := observe.Bind(r.M, sv)
	require.NoError(t, bad.Err())
	var keep, both []int
	for i := range read.Observation {
		rd := read.Survey.Readings[read.Observation[i].Reading]
		switch open := rd.Open.String(); {
		case open == "b" || open == "c":
			keep, both = append(keep, i), append(both, i)
		case rd.Point == "A1" || rd.Point == "A2":
			both = append(both, i)
		}
	}
	whole := read.Only(both)
	require.Len(t, both, len(keep)+6, "alone, with b, and with all")
	b := read.Only(keep)
	b.Kept = nil
	for k, i := range both {
		if slices.Contains(keep, i) {
			b.Kept = append(b.Kept, k)
		}
	}
	u := asbuilt.NewUnknowns(r.M)
	l := fit.NewLayout(u, whole)
	shared := fit.Prior{Mean: make([]float64, l.N), Scale: 1}
	ask := append(airflow.PortProbe(r.M, 0), airflow.PortProbe(r.M, 1)...)
	open, err := readings.ParseOpen("a+b")
	require.NoError(t, err)
	cfg, err := r.M.Configure(false, open.Gates, nil)
	require.NoError(t, err)
	search := func(x *observe.Bound, use []bool) (*fit.Study, *fit.Fit) {
		s := fit.NewStudy(r.M, u, l, x, shared)
		if use != nil {
			s.Reduce(use)
		}
		g, err := search.SearchAll(s, context.Background(), nil, nil, nil)
		require.NoError(t, err)
		return s, g.Sound
	}
	full := fit.NewStudy(r.M, u, l, whole, shared)
	use := full.Uses(full.SparseRows(), b.Kept)
	require.Contains(t, use, false, "what no reading kept depends on is left out")
	s, f := search(b, use)
	w := weigh.WholeOf(&doubt.Setup{M: r.M, U: u, L: l, Survey: b, Bases: nil}, whole, shared, use, s.PriorScale)
	require.Len(t, w.Line[0], 6)
	require.Empty(t, w.Line[1])
	near := w.Under(s, f).Near(open, 0)
	st := r.M.NewState()
	out := ofA{
		by:      s.Estimates(st, f, cfg, ask, false, []*numeric.Nearby{near, nil}),
		without: s.Estimates(st, f, cfg, ask, false, nil),
	}
	s, f = search(whole, nil)
	out.all = s.Estimates(st, f, cfg, ask, false, nil)
	return out
}

var gateAPoints = []string{"A1", "A2", "B1", "C1", "M", airflow.CollectorInlet}

// nearShop is the shop with a gauge that errs much, so that it counts how much.
func nearShop(t *testing.T) *kit.Rules {
	return kit.RulesOf(t, strings.Replace(kit.RuleShop, "of_reading: 1%, floor: 3 Pa", "of_reading: 6%, floor: 3 Pa", 1))
}

// What readings near a port tell after a search without them is what they tell
// if they are searched with; and they tell it of that port.
func TestNearbyReadingsTellAsIfSearched(t *testing.T) {
	r := nearShop(t)
	rough := func(r *kit.Rules, c *airflow.Coefs) {
		for _, x := range r.M.DuctSegments(r.Duct("hose-a")) {
			c.K[x] += 0.4
		}
	}
	x := askedOfA(t, r, r.SurveyIn([]string{"all", "a", "a+b", "b", "c"}, rough, gateAPoints, nil))
	t.Log(x)
	require.InEpsilon(t, x.all[0].Mean, x.by[0].Mean, 0.003)
	require.InEpsilon(t, x.all[0].Sd, x.by[0].Sd, 0.03)
	require.Greater(t, math.Abs(x.without[0].Mean-x.all[0].Mean), 3*math.Abs(x.by[0].Mean-x.all[0].Mean))
	require.Greater(t, x.without[0].Sd, 1.1*x.all[0].Sd)
	require.Equal(t, x.without[1], x.by[1], "port-b was not asked about")
}

// Readings that are out by far are not believed.
func TestNearbyReadingsFarOutAreLeft(t *testing.T) {
	r := nearShop(t)
	in := []string{"all", "a", "a+b", "b", "c"}
	change := map[int]float64{}
	for i, row := range r.SurveyIn(in, kit.Sound, gateAPoints, nil).Rows {
		if open := row.Open.String(); open != "b" && open != "c" && (row.Point == "A1" || row.Point == "A2") {
			change[i+2] = -9 // by line
		}
	}
	require.Len(t, change, 6)
	x := askedOfA(t, r, r.SurveyIn(in, kit.Sound, gateAPoints, change))
	require.Equal(t, x.without, x.by)
}

// Of a port's readings those of the setting come first, then those with the
// fewest gates open; none with a hose off, and none that was searched with.
func TestNearestReadings(t *testing.T) {
	r := kit.NewRules(t)
	all, bad := observe.Bind(r.M, r.SurveyIn([]string{"all", "a+c", "a", "b", "a+b"}, kit.Sound, []string{"A1", "A2", "M"}, nil))
	require.NoError(t, bad.Err())
	u := asbuilt.NewUnknowns(r.M)
	l := fit.NewLayout(u, all)
	where := func(list []int) (out []string) {
		for _, i := range list {
			rd := all.Survey.Readings[all.Observation[i].Reading]
			out = append(out, rd.Open.String()+" "+rd.Point)
		}
		return out
	}
	whole := func(kept ...int) *weigh.WholeSurvey {
		b := all.Only(kept)
		return weigh.WholeOf(&doubt.Setup{M: r.M, U: u, L: l, Survey: b, Bases: nil}, all, fit.Prior{Mean: make([]float64, l.N), Scale: 1}, nil, 1)
	}
	open, err := readings.ParseOpen("a+b")
	require.NoError(t, err)
	w := whole(2)
	require.Empty(t, append(w.Nearest(1, open), w.Nearest(2, open)...))
	require.Equal(t, []string{"a+b A1", "a+b A2", "a A1", "a A2", "a+c A1", "a+c A2"}, where(w.Nearest(0, open)))
	require.Len(t, w.Line[0], 8, "A1 and A2 wherever gate a is open")
	require.NotContains(t, where(whole(12, 3).Nearest(0, open)), "a+b A1")
	k := all.Observation[12].Cfg
	all.Configs[k].HoseOff = []string{"port-a"}
	require.NotContains(t, where(whole(2).Line[0]), "a+b A2", "with its hose off")
}

// What is said of the ports of a large plant holds, and is no wider than it must
// be: most ports have a reading of their own.
func TestFlowsOfALargePlant(t *testing.T) {
	kit.Long(t, "a large plant")
	c := kit.PlantOf(t, 60, 3)
	r, err := diagnose.Diagnose(context.Background(), c.System, c.Survey, diagnose.Options{})
	require.NoError(t, err)
	in, narrow := 0, 0
	for _, p := range r.Ports {
		v, err := c.Exact(p.Open, nil, p.Port, units.FlowRate)
		require.NoError(t, err)
		if p.Flow.Low <= v && v <= p.Flow.High {
			in++
		}
		if p.Flow.High-p.Flow.Low < 2*0.075*p.Flow.Value {
			narrow++
		}
	}
	require.Greater(t, in, len(r.Ports)*9/10)
	require.Greater(t, narrow, len(r.Ports)*9/10)
}

// An acceptance test of a plant whose survey is thinned passes and fails what it should.
func TestVerifyOfALargePlant(t *testing.T) {
	kit.Long(t, "a large plant")
	c := kit.PlantOf(t, 60, 3)
	v, err := verify.Verify(context.Background(), c.System, []*readings.Survey{c.Survey}, verify.Options{Open: []readings.Open{{All: true}}})
	require.NoError(t, err)
	right, wrong, pressures := 0, 0, 0
	for _, l := range v.Lines {
		if l.Topic == verify.TapPressure {
			pressures++
		}
		if l.Outcome == verify.NotShown {
			continue
		}
		if truth, known := kit.TrulyHolds(t, c, l); known {
			if truth == (l.Outcome == verify.Pass) {
				right++
			} else {
				wrong++
			}
		}
	}
	read := map[string]bool{}
	for _, r := range c.Survey.Readings {
		if (r.Quantity == units.StaticPressure || r.Quantity == units.Suction) && len(r.HoseOff) == 0 {
			read[r.Open.String()+" "+r.Point] = true
		}
	}
	require.Greater(t, len(read), 100)
	require.Equal(t, len(read), pressures, "all readings are judged, and not only those searched with")
	require.Greater(t, right, 500)
	require.Less(t, wrong, right/20)

	velocity := map[[2]string]float64{}
	for _, l := range v.Lines {
		if l.Topic == verify.Carrying {
			velocity[[2]string{l.Open.String(), l.Where}] = l.Value.Value
		}
	}
	slow, ungated := 0, 0
	for _, n := range v.Carry {
		for _, d := range n.Slow {
			if len(n.Open.Gates) == 0 { // a port that no gate shuts has no line of its own
				ungated++
				continue
			}
			slow++
			require.InEpsilon(t, velocity[[2]string{n.Open.String(), d.Duct}], d.Velocity, 0.01, "%s, %s", n.Port, d.Duct)
		}
	}
	require.Greater(t, slow, 50)
	require.Positive(t, ungated)
}
