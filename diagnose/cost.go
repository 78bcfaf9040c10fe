package diagnose

import (
	"slices"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
)

// costOf is how much trouble it is to mend faults that can't be told apart,
// the likeliest of them first.
func costOf(sys *duct.System, all []fault.Candidate) int {
	switch head := all[0]; head.Kind {
	case fault.Leak:
		return costMinutes
	case fault.Blockage, fault.GateRestricted:
		if slices.ContainsFunc(all, func(c fault.Candidate) bool { return !inPipe(sys, c) }) {
			return costMinutes
		}
		return costHour
	case fault.GateLeaking:
		if len(all) > 1 {
			return costMinutes // seams and joins are looked at first
		}
		return costHour
	case fault.FilterLoaded, fault.FanWeak:
		return costHour
	case fault.Undersized, fault.Altered:
		return costParts
	}
	fault.NoCase("costOf", all[0].Kind)
	return costParts
}

// inPipe says whether a restriction sits in rigid duct, which has to be opened:
// gates, hoods and hoses are looked at in minutes.
func inPipe(sys *duct.System, c fault.Candidate) bool {
	d, ok := sys.DuctNamed(c.Where)
	return ok && c.Kind != fault.GateRestricted && sys.Ducts[d].Material != "flexible"
}

// How much trouble a fix is.
const (
	costMinutes = 1 // tape, a lever, a look
	costHour    = 2
	costParts   = 3
	costRebuild = 4
)
