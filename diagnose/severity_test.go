package diagnose

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/trial"
)

// A leaking gate's severity is all that it leaves open when it is shut, as the
// file formats have it: what it left as built included, and how well that is known.
func TestALeakingGatesAreaIsAllThatItLeavesOpen(t *testing.T) {
	r := newRules(t)
	b, bad := bind(r.m, r.survey(fanAt(1), ruleTaps, nil))
	require.NoError(t, bad.Err())
	u := newUnknowns(r.m)
	l := newLayout(u, b)
	s := newStudy(r.m, u, l, b, prior{mean: make([]float64, l.n), scale: 1})
	var v *variant
	for _, x := range sites(r.m) {
		if x.kind == GateLeaking {
			v = x.variants[0]
			break
		}
	}
	f := s.fit(hypothesis{faults: []*variant{v}}, point{theta: make([]float64, s.n)})
	require.True(t, f.ok)
	s.setCoefs(f.at, nil)
	slot := v.spots[0].slot
	built := *slot.Of(&s.coef)
	z, sd := s.severityAt(f, 0)
	require.Positive(t, built)
	require.InEpsilon(t, built+v.severity(f.at.z[0]), v.severity(z), 1e-9)
	require.Positive(t, sd)

	// the slopes, against differences
	s.setCoefs(f.at, f.faults)
	g := make([]float64, s.n)
	all, by := v.leftOpen(s.u, &s.coef, s.vals, f.at.z[0], g)
	const e = 1e-5
	at := func(change func(*point)) float64 {
		p := point{theta: append([]float64(nil), f.at.theta...), z: append([]float64(nil), f.at.z...)}
		change(&p)
		s.setCoefs(p, f.faults)
		return math.Log(*slot.Of(&s.coef) / v.bore)
	}
	require.InDelta(t, (at(func(p *point) { p.z[0] += e })-all)/e, by, 1e-3)
	moved := 0
	for x := range g {
		want := (at(func(p *point) { p.theta[x] += e }) - all) / e
		require.InDelta(t, want, g[x], 1e-3, "parameter %d", x)
		if g[x] != 0 {
			moved++
		}
	}
	require.Equal(t, 2, moved, "the gate's own and that of all gates")
}

// Beside a baseline the as-built part is known, and must not be left out.
func TestLeakingGatesBesideABaseline(t *testing.T) {
	below, above := 0, 0
	for seed := uint64(1); seed <= 24; seed++ {
		c, err := trial.NewCase(30000+seed, trial.Options{Ports: 5, Kinds: []string{"gate-leaking"}, Wrong: trial.No, Baseline: trial.Yes})
		require.NoError(t, err)
		r, err := Diagnose(context.Background(), c.System, c.Survey, Options{Baselines: c.Baselines})
		require.NoError(t, err)
		for _, x := range r.Faults {
			for _, f := range c.Truth.Faults {
				if x.Kind == GateLeaking && f.Kind == "gate-leaking" && x.Where == f.Where {
					if f.Severity < x.Severity.Value {
						below++
					} else {
						above++
					}
				}
			}
		}
	}
	require.Greater(t, below+above, 6)
	require.Less(t, float64(above-below), 2*math.Sqrt(float64(above+below)), "%d truths above what is said, %d below", above, below)
}
