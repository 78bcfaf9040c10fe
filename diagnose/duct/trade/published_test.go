package trade

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/readings/units"
	"lostair/testdata/published"
)

func TestPublished(t *testing.T) {
	published.Run(t, "trade", map[string]published.Check{
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
	})
}
