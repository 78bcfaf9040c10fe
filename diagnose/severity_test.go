package diagnose

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
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
