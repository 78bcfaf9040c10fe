package diagnose

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/readings"
	"lostair/readings/units"
)

// gateA is what is known of port-a's flow with its gate alone open after a
// search of some readings, with what those left out still tell and without.
type gateA struct{ by, without, all estimate }

func askedOfA(t *testing.T, r *rules, sv *readings.Survey) gateA {
	whole, bad := bind(r.m, sv)
	require.NoError(t, bad.Err())
	var keep []int
	left := 0
	for i := range whole.obs {
		rd := whole.survey.Readings[whole.obs[i].reading]
		if rd.Open.String() == "a" && (rd.Point == "A1" || rd.Point == "A2") {
			left++
			continue
		}
		keep = append(keep, i)
	}
	require.Equal(t, 2, left)
	u := newUnknowns(r.m)
	l := newLayout(u, whole)
	shared := prior{mean: make([]float64, l.n), scale: 1}
	b := whole.only(keep)
	port, err := r.m.ProbeAt("port-a", units.FlowRate)
	require.NoError(t, err)
	cfg, ask := alone(r.m, 0), []airflow.Probe{port}
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
	use := full.uses(full.sparseRows(), keep)
	s, f := search(b, use)
	w := wholeOf(&given{r.m, u, l, b, nil}, whole, shared, use, s.kappa)
	require.Len(t, w.line[0], left)
	near := w.under(s, f).near(aloneOpen(r.m, 0), 0)
	st := r.m.NewState()
	var out gateA
	out.by = s.estimates(st, f, cfg, ask, false, []*nearby{near})[0]
	out.without = s.estimates(st, f, cfg, ask, false, nil)[0]
	s, f = search(whole, nil)
	out.all = s.estimates(st, f, cfg, ask, false, nil)[0]
	return out
}

var gateAPoints = []string{"A1", "A2", "B1", "C1", "M", airflow.CollectorInlet}

// What readings near a port tell after a search without them is what they tell
// if they are searched with.
func TestNearbyReadingsTellAsIfSearched(t *testing.T) {
	r := newRules(t)
	rough := func(r *rules, c *airflow.Coefs) {
		for _, x := range r.m.DuctSegments(r.duct("hose-a")) {
			c.K[x] += 0.25
		}
	}
	x := askedOfA(t, r, r.survey(rough, gateAPoints, nil))
	require.InEpsilon(t, x.all.mean, x.by.mean, 0.003)
	require.InEpsilon(t, x.all.sd, x.by.sd, 0.05)
	require.Greater(t, math.Abs(x.without.mean-x.all.mean), 3*math.Abs(x.by.mean-x.all.mean))
	require.Greater(t, x.without.sd, 1.1*x.all.sd)
}

// A reading that is out by far is not believed.
func TestNearbyReadingsFarOutAreLeft(t *testing.T) {
	r := newRules(t)
	sv := r.survey(sound, gateAPoints, nil)
	change := map[int]float64{}
	for i, row := range sv.Rows {
		if row.Open.String() == "a" && (row.Point == "A1" || row.Point == "A2") {
			change[i+2] = -40 // by line
		}
	}
	require.Len(t, change, 2)
	x := askedOfA(t, r, r.survey(sound, gateAPoints, change))
	require.Equal(t, x.without, x.by)
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
	require.Greater(t, pressures, thinAbove/2, "all readings are judged, and not only those searched with")
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
