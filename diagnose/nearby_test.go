package diagnose

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/readings"
	"lostair/readings/units"
)

// ofA is what is known of the flows of port-a and port-b, with both gates open,
// after a search that had no reading of drop a's: with what those still tell,
// without, and after a search that had them.
type ofA struct{ by, without, all []estimate }

func askedOfA(t *testing.T, r *rules, sv *readings.Survey) ofA {
	read, bad := bind(r.m, sv)
	require.NoError(t, bad.Err())
	var keep, both []int
	for i := range read.obs {
		rd := read.survey.Readings[read.obs[i].reading]
		switch open := rd.Open.String(); {
		case open == "b" || open == "c":
			keep, both = append(keep, i), append(both, i)
		case rd.Point == "A1" || rd.Point == "A2":
			both = append(both, i)
		}
	}
	whole := read.only(both)
	require.Len(t, both, len(keep)+6, "alone, with b, and with all")
	b := read.only(keep)
	b.kept = nil
	for k, i := range both {
		if slices.Contains(keep, i) {
			b.kept = append(b.kept, k)
		}
	}
	u := newUnknowns(r.m)
	l := newLayout(u, whole)
	shared := prior{mean: make([]float64, l.n), scale: 1}
	ask := append(portProbe(r.m, 0), portProbe(r.m, 1)...)
	open, err := readings.ParseOpen("a+b")
	require.NoError(t, err)
	cfg, err := r.m.Configure(false, open.Gates, nil)
	require.NoError(t, err)
	search := func(x *bound, use []bool) (*study, *fitted) {
		s := newStudy(r.m, u, l, x, shared)
		if use != nil {
			s.reduce(use)
		}
		g, err := s.searchAll(context.Background(), nil, nil, nil)
		require.NoError(t, err)
		return s, g.sound
	}
	full := newStudy(r.m, u, l, whole, shared)
	use := full.uses(full.sparseRows(), b.kept)
	require.Contains(t, use, false, "what no reading kept depends on is left out")
	s, f := search(b, use)
	w := wholeOf(&given{r.m, u, l, b, nil}, whole, shared, use, s.kappa)
	require.Len(t, w.line[0], 6)
	require.Empty(t, w.line[1])
	near := w.under(s, f).near(open, 0)
	st := r.m.NewState()
	out := ofA{
		by:      s.estimates(st, f, cfg, ask, false, []*nearby{near, nil}),
		without: s.estimates(st, f, cfg, ask, false, nil),
	}
	s, f = search(whole, nil)
	out.all = s.estimates(st, f, cfg, ask, false, nil)
	return out
}

var gateAPoints = []string{"A1", "A2", "B1", "C1", "M", airflow.CollectorInlet}

// nearShop is the shop with a gauge that errs much, so that it counts how much.
func nearShop(t *testing.T) *rules {
	return rulesOf(t, strings.Replace(ruleShop, "of_reading: 1%, floor: 3 Pa", "of_reading: 6%, floor: 3 Pa", 1))
}

// What readings near a port tell after a search without them is what they tell
// if they are searched with; and they tell it of that port.
func TestNearbyReadingsTellAsIfSearched(t *testing.T) {
	r := nearShop(t)
	rough := func(r *rules, c *airflow.Coefs) {
		for _, x := range r.m.DuctSegments(r.duct("hose-a")) {
			c.K[x] += 0.4
		}
	}
	x := askedOfA(t, r, r.surveyIn([]string{"all", "a", "a+b", "b", "c"}, rough, gateAPoints, nil))
	t.Log(x)
	require.InEpsilon(t, x.all[0].mean, x.by[0].mean, 0.003)
	require.InEpsilon(t, x.all[0].sd, x.by[0].sd, 0.03)
	require.Greater(t, math.Abs(x.without[0].mean-x.all[0].mean), 3*math.Abs(x.by[0].mean-x.all[0].mean))
	require.Greater(t, x.without[0].sd, 1.1*x.all[0].sd)
	require.Equal(t, x.without[1], x.by[1], "port-b was not asked about")
}

// Readings that are out by far are not believed.
func TestNearbyReadingsFarOutAreLeft(t *testing.T) {
	r := nearShop(t)
	in := []string{"all", "a", "a+b", "b", "c"}
	change := map[int]float64{}
	for i, row := range r.surveyIn(in, sound, gateAPoints, nil).Rows {
		if open := row.Open.String(); open != "b" && open != "c" && (row.Point == "A1" || row.Point == "A2") {
			change[i+2] = -9 // by line
		}
	}
	require.Len(t, change, 6)
	x := askedOfA(t, r, r.surveyIn(in, sound, gateAPoints, change))
	require.Equal(t, x.without, x.by)
}

// Of a port's readings those of the setting come first, then those with the
// fewest gates open; none with a hose off, and none that was searched with.
func TestNearestReadings(t *testing.T) {
	r := newRules(t)
	all, bad := bind(r.m, r.surveyIn([]string{"all", "a+c", "a", "b", "a+b"}, sound, []string{"A1", "A2", "M"}, nil))
	require.NoError(t, bad.Err())
	u := newUnknowns(r.m)
	l := newLayout(u, all)
	where := func(list []int) (out []string) {
		for _, i := range list {
			rd := all.survey.Readings[all.obs[i].reading]
			out = append(out, rd.Open.String()+" "+rd.Point)
		}
		return out
	}
	whole := func(kept ...int) *wholeSurvey {
		b := all.only(kept)
		return wholeOf(&given{r.m, u, l, b, nil}, all, prior{mean: make([]float64, l.n), scale: 1}, nil, 1)
	}
	open, err := readings.ParseOpen("a+b")
	require.NoError(t, err)
	w := whole(2)
	require.Empty(t, append(w.nearest(1, open), w.nearest(2, open)...))
	require.Equal(t, []string{"a+b A1", "a+b A2", "a A1", "a A2", "a+c A1", "a+c A2"}, where(w.nearest(0, open)))
	require.Len(t, w.line[0], 8, "A1 and A2 wherever gate a is open")
	require.NotContains(t, where(whole(12, 3).nearest(0, open)), "a+b A1")
	k := all.obs[12].cfg
	all.configs[k].hoseOff = []string{"port-a"}
	require.NotContains(t, where(whole(2).line[0]), "a+b A2", "with its hose off")
}

// What is said of the ports of a large plant holds, and is no wider than it must
// be: most ports have a reading of their own.
func TestFlowsOfALargePlant(t *testing.T) {
	c := plantOf(t, 60, 3)
	r, err := Diagnose(context.Background(), c.System, c.Survey, Options{})
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
	c := plantOf(t, 60, 3)
	v, err := Verify(context.Background(), c.System, []*readings.Survey{c.Survey}, VerifyOptions{Open: []readings.Open{{All: true}}})
	require.NoError(t, err)
	right, wrong, pressures := 0, 0, 0
	for _, l := range v.Lines {
		if l.Topic == TapPressure {
			pressures++
		}
		if l.Outcome == NotShown {
			continue
		}
		if truth, known := trulyHolds(t, c, l); known {
			if truth == (l.Outcome == Pass) {
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
		if l.Topic == Carrying {
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
