package asbuilt_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/trial/plant"
	"lostair/readings/units"
)

// All joins go by one law, which lies where it lies between the published ones:
// one parameter moves them together, each by half of what the laws differ by there.
func TestJoinsShareOneLaw(t *testing.T) {
	m, err := airflow.New(plant.New(5, 6, units.Metric), airflow.Options{})
	require.NoError(t, err)
	shared, n := int32(-1), 0
	for _, p := range asbuilt.NewUnknowns(m).Parts {
		if p.Apart == 0 {
			continue
		}
		n++
		require.GreaterOrEqual(t, p.Ix[2], int32(0))
		if shared < 0 {
			shared = p.Ix[2]
		}
		require.Equal(t, shared, p.Ix[2])
		require.InDelta(t, p.Apart, p.Sd[2], 1e-12)
	}
	require.Greater(t, n, 8)
}
