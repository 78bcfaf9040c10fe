package systemfile

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/testdata/published"
)

func TestPublished(t *testing.T) {
	published.Run(t, "systemfile", map[string]published.Check{
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
