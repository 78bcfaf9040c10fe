package airflow

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct/systemfile"
	"lostair/readings/units"
)

func TestProbeDuctReadsTheFlowThatEntersADuct(t *testing.T) {
	sys, list := systemfile.LoadFile("../../cmd/lostair/demo/system.yaml")
	require.Empty(t, list)
	m, err := New(sys, Options{})
	require.NoError(t, err)
	s, c := m.NewState(), m.Coefs()
	cfg, err := m.Configure(false, []string{"saw"}, nil)
	require.NoError(t, err)
	require.NoError(t, s.Solve(&c, cfg))
	d, _ := sys.DuctNamed("saw-hose")
	p, _ := sys.PortNamed("saw")
	q := s.Value(m.ProbeDuct(d, units.FlowRate))
	require.InDelta(t, s.PortFlow(p), q, 0.01*q)
	v := s.Value(m.ProbeDuct(d, units.MeanVelocity))
	require.InEpsilon(t, q/m.Position(m.DuctSegments(d)[0]).Bore, v, 1e-9)

	// its sensitivity by differences
	s.Prepare()
	g := m.NewGradient()
	s.Sensitivity(m.ProbeDuct(d, units.MeanVelocity), g)
	const e = 1e-4
	c.Speed += e
	require.NoError(t, s.Solve(&c, cfg))
	require.InEpsilon(t, (s.Value(m.ProbeDuct(d, units.MeanVelocity))-v)/e, g.Speed, 1e-3)
}
