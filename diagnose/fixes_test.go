package diagnose_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/internal/kit"
	"lostair/readings"
)

// A port has one flow now, whether the table of ports says it or that of what a
// repair gains.
func TestGainsStartFromTheFlowsThatAreShown(t *testing.T) {
	sys := kit.DemoSystem(t)
	survey, list := readings.LoadFile("../cmd/lostair/demo/readings.csv", sys.Units)
	require.NoError(t, list.Err())
	r, err := diagnose.Diagnose(t.Context(), sys, survey, diagnose.Options{})
	require.NoError(t, err)
	now := map[string]float64{}
	for _, p := range r.Ports {
		now[p.Port+" "+p.Open.String()] = p.Flow.Value
	}
	seen := 0
	for _, x := range r.Fixes {
		for _, g := range x.Gains {
			if flow, ok := now[g.Port+" "+g.Open.String()]; ok {
				seen++
				require.Equal(t, flow, g.Before, g.Port)
				require.Greater(t, g.After.Value, g.Before, g.Port)
				require.Greater(t, g.After.High, g.After.Value, g.Port)
				require.Less(t, g.After.Low, g.After.Value, g.Port)
			}
		}
	}
	require.GreaterOrEqual(t, seen, 4)
}
