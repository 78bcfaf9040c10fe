package duct

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Whoever names a machine or a gate where a port is asked for is told its ports.
func TestNoPort(t *testing.T) {
	s := &System{
		Ducts: []Duct{{ID: "main", Into: -1}, {ID: "drop", Gate: "shut-off"}, {ID: "saw-hose", Into: 1}, {ID: "guard-hose", Into: 1}, {ID: "lathe-hose", Gate: "lathe gate"}},
		Ports: []Port{{ID: "saw", Duct: 2}, {ID: "guard", Duct: 3}, {ID: "lathe", Duct: 4, Machine: "long bed"}},
	}
	s.Machines = []Machine{{ID: "table saw", Ports: []int{0, 1}}}
	for id, want := range map[string]string{
		"table saw":  `there is no port "table saw"; table saw has the ports saw and guard: say one of them`,
		"Long bed":   `there is no port "Long bed"; long bed has the port lathe`,
		"shut-off":   `there is no port "shut-off"; gate shut-off has the ports saw and guard: say one of them`,
		"lathe gate": `there is no port "lathe gate"; gate lathe gate has the port lathe`,
		"lahte":      `there is no port "lahte" (did you mean lathe?); the ports are saw, guard and lathe`,
		"nothing":    `there is no port "nothing"; the ports are saw, guard and lathe`,
	} {
		require.EqualError(t, s.NoPort(id), want)
	}
	for range mostPortsSaid {
		s.Ports = append(s.Ports, Port{ID: "p", Duct: 4})
	}
	require.ErrorContains(t, s.NoPort("nothing"), "; of 15 ports the first are saw, guard, lathe, p")
}
