package next

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// A hole to drill is asked for where a tape has a mark, and within its run.
func TestAHoleIsWhereATapeHasAMark(t *testing.T) {
	for _, c := range []struct {
		u    units.System
		d    duct.Duct
		want string
	}{
		{units.US, duct.Duct{Diameter: 0.152, Length: 3}, "1 ft"},
		{units.US, duct.Duct{Diameter: 0.127, Length: 3}, "0.75 ft"},
		{units.US, duct.Duct{Diameter: 0.127, Length: 3, Taps: []duct.Tap{{Distance: 0.35}}}, "0.5 ft"},
		{units.US, duct.Duct{Diameter: 0.127, Length: 0.0762}, "0.131 ft"}, // no mark within it
		{units.Metric, duct.Duct{Diameter: 0.152, Length: 3}, "0.3 m"},
		{units.Metric, duct.Duct{Diameter: 0.127, Length: 3}, "0.25 m"},
	} {
		sys := &duct.System{Units: c.u, Ducts: []duct.Duct{c.d}}
		require.Equal(t, c.want, units.Format(holePlace(&airflow.Model{Sys: sys}, 0), units.Length, c.u))
	}
}
