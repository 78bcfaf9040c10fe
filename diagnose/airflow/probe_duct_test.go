package airflow

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
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

// A hole is drilled in pipe at the duct's upstream end, unless a tap is near there.
func TestWhereAHoleCanBeDrilled(t *testing.T) {
	for _, x := range []struct {
		material string
		length   float64
		taps     []float64
		can      bool
	}{
		{"spiral", 2, nil, true}, {"flexible", 2, nil, false}, {"spiral", 0, nil, false},
		{"spiral", 2, []float64{0.2}, false}, {"spiral", 2, []float64{1.5}, true}, {"flexible", 2, []float64{1.5}, false},
	} {
		sys := oneDuct(0.1)
		sys.Ducts[0].Material, sys.Ducts[0].Length, sys.Ducts[0].Taps = x.material, x.length, nil
		for _, at := range x.taps {
			sys.Ducts[0].Taps = append(sys.Ducts[0].Taps, duct.Tap{ID: "T", Distance: at})
		}
		m := modelOf(t, sys)
		p, ok := m.ProbeHole(0)
		require.Equal(t, x.can, ok, "%+v", x)
		if ok {
			require.Equal(t, 0, m.DuctOf(p))
			require.Equal(t, math.Pi/4*0.1*0.1, p.Bore())
		}
	}
}
