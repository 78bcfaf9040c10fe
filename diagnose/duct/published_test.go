package duct

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/readings/units"
	"lostair/testdata/published"
)

func TestPublished(t *testing.T) {
	published.Run(t, "duct", map[string]published.Check{
		"hood loss by name": func(r published.Row) float64 {
			h, ok := HoodNamed(r.Text("hood"))
			require.True(r.T(), ok)
			return h.Loss
		},
		"usual need": func(r published.Row) float64 {
			u, ok := UsualOf(r.Text("machine"), units.US)
			require.True(r.T(), ok)
			require.Equal(r.T(), "read", u.Status)
			return u.Low
		},
		"limit on conveying velocity": func(r published.Row) float64 {
			s, problems := Load([]byte(withLimit(r.Text("limit"))), "limit.yaml")
			require.NoError(r.T(), problems.Err())
			return s.Limits.ConveyMain
		},
	})
}

func withLimit(v string) string {
	return fmt.Sprintf(`
units: metric
collector: {inlet: 150, fan: {curve: [[0, 2000], [1500, 0]]}}
ducts: [{id: d, into: collector, diameter: 150, length: 2, material: smooth}]
ports: [{id: p, duct: d, hood: plain}]
limits: {conveying_velocity: {main: %s}}
`, v)
}

// X4: a guidance annex prints 45000 fpm for 4500.
func TestBadConveyingVelocity(t *testing.T) {
	_, problems := Load([]byte(withLimit("45000 fpm")), "limit.yaml")
	require.Error(t, problems.Err())
	require.Equal(t, 6, problems[0].Line)
}

// X5: an answer that takes 0.196 ft² for m². The units table keeps them apart:
// in m² it is a flow of 1.38 m³/s only if the area is written so.
func TestSquareFeetAreNotSquareMetres(t *testing.T) {
	a, err := units.Parse("0.196 ft2", units.Area, units.US)
	require.NoError(t, err)
	require.InDelta(t, 0.018209, a.SI, 5e-7)
	bare, err := units.Parse("0.196", units.Area, units.US)
	require.NoError(t, err)
	require.NotEqual(t, a.SI, bare.SI, "a bare area is in in2")
}
