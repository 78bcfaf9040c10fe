package diagnose

import (
	"math"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings"
)

// ClosedInlets are the inlets of a shop that is closed, over the bore of the
// collector's inlet. Own choice; how far off they can be stands in asbuilt.
const ClosedInlets = 1.0

// closedRoom is the system with a room that lets in too little air, where the suction
// was seen to rise with a door open and the file says nothing of the room. The readings
// then tell how much that takes: a rival to a slow fan.
func closedRoom(sys *duct.System, survey *readings.Survey) *duct.System {
	if yes, looked := risesWithDoorOpen(survey); !looked || !yes || sys.Room.Inlets > 0 {
		return sys
	}
	s := sys.Copy()
	d := s.Collector.Inlet
	s.Room = duct.Room{Inlets: ClosedInlets * math.Pi / 4 * d * d, Guessed: true}
	return s
}

// risesWithDoorOpen is the last answer to that look.
func risesWithDoorOpen(survey *readings.Survey) (yes, looked bool) {
	for i := range survey.Looks {
		if r := &survey.Looks[i]; r.Look == readings.RisesWithDoorOpen {
			yes, looked = r.Yes(), true
		}
	}
	return yes, looked
}

// roomDoubts say what the look at the door makes of the answer.
func roomDoubts(r *Result) []fault.Doubt {
	yes, looked := risesWithDoorOpen(r.Survey)
	switch room := r.System.Room; {
	case !looked:
	case yes && room.Guessed:
		return []fault.Doubt{{Kind: fault.RoomClosed}}
	case !yes && room.Inlets > 0:
		return []fault.Doubt{{Kind: fault.RoomOpen}}
	}
	return nil
}
