package diagnose

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct/systemfile"
	"lostair/readings"
)

func doors(answers ...float64) *readings.Survey {
	s := &readings.Survey{}
	for _, v := range answers {
		s.Looks = append(s.Looks, readings.Row{Point: readings.CollectorInlet, Look: readings.RisesWithDoorOpen, Value: v})
	}
	return s
}

// The last look at the door holds, a room of the file is left as it is, and so is the
// system that was given.
func TestClosedRoom(t *testing.T) {
	const text = `
units: metric
collector: {inlet: 150, fan: {curve: [[0, 2000], [1500, 0]]}}
ducts: [{id: d, into: collector, diameter: 150, length: 2, material: smooth}]
ports: [{id: p, duct: d, hood: plain}]
`
	sys, problems := systemfile.Load([]byte(text), "shop.yaml")
	require.NoError(t, problems.Err())
	require.Same(t, sys, closedRoom(sys, doors()))
	require.Same(t, sys, closedRoom(sys, doors(0)))
	require.Same(t, sys, closedRoom(sys, doors(1, 0)))
	shut := closedRoom(sys, doors(0, 1))
	require.True(t, shut.Room.Guessed)
	require.InDelta(t, 0.01767, shut.Room.Inlets, 1e-5)
	require.Zero(t, sys.Room.Inlets)
	require.NotContains(t, string(systemfile.Marshal(shut)), "room")

	sys, problems = systemfile.Load([]byte(text+"room: {inlets: 300 cm2}\n"), "shop.yaml")
	require.NoError(t, problems.Err())
	require.Same(t, sys, closedRoom(sys, doors(1)))
}
