package airflow

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct/systemfile"
	"lostair/readings/units"
)

// In a duct the middle is as fast as developed flow has it; at a port's mouth it
// lies midway between that and a flat profile, whichever way it is asked for.
func TestMiddleOfAMouth(t *testing.T) {
	sys, bad := systemfile.Load([]byte(`
units: metric
collector: {inlet: 150, fan: {curve: [[0, 2400], [900, 2200], [1800, 1100], [2300, 0]]}}
ducts:
  - {id: run, into: collector, diameter: 100, length: 2.2, material: spiral, taps: {T: 1.6}}
ports:
  - {id: saw, duct: run, hood: 1.2}
`), "s.yaml")
	require.NoError(t, bad.Err())
	m, err := New(sys, Options{})
	require.NoError(t, err)
	s, c := m.NewState(), m.Coefs()
	cfg, err := m.Configure(true, nil, nil)
	require.NoError(t, err)
	require.NoError(t, s.Solve(&c, cfg))
	ratio := func(point string) float64 {
		mean, err := m.ProbeAt(point, units.MeanVelocity)
		require.NoError(t, err)
		mid, err := m.ProbeAt(point, units.CentreVelocity)
		require.NoError(t, err)
		vp, err := m.ProbeAt(point, units.VelocityPressure)
		require.NoError(t, err)
		v := s.Value(mid)
		require.InEpsilon(t, m.Air.Density/2*v*v, s.Value(vp.OnAxis()), 1e-9)
		return v / s.Value(mean)
	}
	inDuct, atMouth := ratio("T"), ratio("saw")
	require.InDelta(t, 1.19, inDuct, 0.02)
	require.Less(t, atMouth, inDuct-0.05)
	require.InDelta(t, 1+(inDuct-1)/2, atMouth, 0.02)
}
