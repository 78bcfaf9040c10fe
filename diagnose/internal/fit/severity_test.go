package fit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
)

// A leaking gate's severity is all that it leaves open when it is shut, as the
// file formats have it: what it left as built included, and how well that is known.
func TestALeakingGatesAreaIsAllThatItLeavesOpen(t *testing.T) {
	r := kit.NewRules(t)
	b, bad := observe.Bind(r.M, r.Survey(kit.FanAt(1), kit.RuleTaps, nil))
	require.NoError(t, bad.Err())
	u := asbuilt.NewUnknowns(r.M)
	l := fit.NewLayout(u, b)
	s := fit.NewStudy(r.M, u, l, b, fit.Prior{Mean: make([]float64, l.N), Scale: 1})
	var v *fault.Variant
	for _, x := range fault.Sites(r.M) {
		if x.Kind == fault.GateLeaking {
			v = x.Variants[0]
			break
		}
	}
	f := s.Fit(fit.Hypothesis{Faults: []*fault.Variant{v}}, fit.Point{Theta: make([]float64, s.N)})
	require.True(t, f.Ok())
	s.SetCoefs(f.At, nil)
	slot := v.Spots[0].Slot
	built := *slot.Of(&s.Coef)
	z, sd := s.SeverityAt(f, 0)
	require.Positive(t, built)
	require.InEpsilon(t, built+v.Severity(f.At.Z[0]), v.Severity(z), 1e-9)
	require.Positive(t, sd)

	// the slopes, against differences
	s.SetCoefs(f.At, f.Faults)
	g := make([]float64, s.N)
	all, by := asbuilt.LeftOpen(v, s.U, &s.Coef, s.Vals, f.At.Z[0], g)
	const e = 1e-5
	at := func(change func(*fit.Point)) float64 {
		p := fit.Point{Theta: append([]float64(nil), f.At.Theta...), Z: append([]float64(nil), f.At.Z...)}
		change(&p)
		s.SetCoefs(p, f.Faults)
		return math.Log(*slot.Of(&s.Coef) / v.Bore)
	}
	require.InDelta(t, (at(func(p *fit.Point) { p.Z[0] += e })-all)/e, by, 1e-3)
	moved := 0
	for x := range g {
		want := (at(func(p *fit.Point) { p.Theta[x] += e }) - all) / e
		require.InDelta(t, want, g[x], 1e-3, "parameter %d", x)
		if g[x] != 0 {
			moved++
		}
	}
	require.Equal(t, 2, moved, "the gate's own and that of all gates")
}
