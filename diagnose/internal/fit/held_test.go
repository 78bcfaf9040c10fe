package fit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
)

// Where the parameters are held severities alone move, to the least of what the readings
// and their usual spread cost, with all that the parameters may be off counted as error.
func TestHeldParametersStayWhereTheyAre(t *testing.T) {
	_, g, _ := kit.RuleSearch(t, kit.FanAt(0.85))
	s := g.S
	s.Held, s.Ref = true, nil
	h := fit.Hypothesis{Faults: []*fault.Variant{
		fault.Change(fault.FanWeak, 0.08, 0, 2, []fault.Spot{{Slot: airflow.Slot{Kind: airflow.SlotSpeed}, Share: 1}}),
		fault.Change(fault.FilterLoaded, 2, 0, 0.25, []fault.Spot{{Slot: airflow.Slot{Kind: airflow.SlotFilter}, Share: 1}}),
	}}
	f := s.FitFrom(h, s.Before(), fit.PatienceFar)
	require.True(t, f.Ok() && f.Settled())
	require.Equal(t, s.Pr.Mean, f.At.Theta)
	require.InDelta(t, math.Log(0.85)/0.08, f.At.Z[0], 0.8, "the page itself is uncertain")

	m := len(s.Observation)
	var sound, inv mat.Dense
	sound.Mul(f.Fit.J, f.Fit.J.T())
	for i, v := range f.Fit.Noise {
		sound.Set(i, i, sound.At(i, i)+v)
	}
	require.NoError(t, inv.Inverse(&sound))
	cost := func(fan, filter float64) float64 {
		out := make([]float64, m)
		require.NoError(t, s.Predict(fit.Point{Theta: s.Pr.Mean, Z: []float64{fan, filter}}, h, out))
		off := mat.NewVecDense(m, nil)
		for i, y := range out {
			off.SetVec(i, f.Fit.Y[i]-y)
		}
		return mat.Inner(off, &inv, off)/2 + fan*fan/8 + filter*filter*8
	}
	least := cost(f.At.Z[0], f.At.Z[1])
	require.InDelta(t, least, fit.OneFit{S: s, F: f, D: f.Fit}.Cost(), 1e-6*least+1e-9)
	for _, by := range [][2]float64{{0.2, 0}, {-0.2, 0}, {0, 0.2}, {0, -0.2}} {
		require.Greater(t, cost(f.At.Z[0]+by[0], f.At.Z[1]+by[1]), least-0.005)
	}

	// on the straight line from the mean it is one step of the same, not as far
	one := s.Straight(h, s.Before())
	require.True(t, one.Ok())
	require.Equal(t, s.Pr.Mean, one.At.Theta)
	require.Less(t, one.At.Z[0], 0.0)
	require.Greater(t, math.Abs(one.At.Z[0]-f.At.Z[0]), 0.02)
}
