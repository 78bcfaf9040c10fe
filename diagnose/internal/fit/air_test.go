package fit_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/readings/units"
)

// In air 3 % denser than the page's every suction is expected to be 3 % more, and no filter's drop.
func TestAirOfTheDayIsExpected(t *testing.T) {
	r := kit.NewRules(t)
	b, bad := observe.Bind(r.M, r.Survey(kit.Sound, kit.RuleTaps, nil))
	require.NoError(t, bad.Err())
	expected := func(denser float64) []float64 {
		b.Denser = denser
		u := asbuilt.NewUnknowns(r.M)
		l := fit.NewLayout(u, b)
		s := fit.NewStudy(r.M, u, l, b, fit.Prior{Mean: make([]float64, l.N), Scale: 1})
		out := make([]float64, len(s.Observation))
		require.NoError(t, s.Predict(s.Before(), fit.Hypothesis{}, out))
		return out
	}
	page, day := expected(0), expected(0.03)
	for i, o := range b.Observation {
		want := 1.03 * page[i]
		if o.Probe.Quantity() == units.PressureDrop { // of a cloth, by the air's viscosity
			want = page[i]
		}
		require.InEpsilon(t, want, day[i], 1e-9, o.Probe.Quantity())
	}
}
