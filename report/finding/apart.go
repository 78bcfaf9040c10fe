package finding

import (
	"fmt"

	"lostair/diagnose/fault"
	"lostair/diagnose/next"
	"lostair/readings"
)

// Apart says what a reading sets apart.
func Apart(list []next.Explanation) string {
	switch len(list) {
	case 0:
		return ""
	case 1:
		return "tells whether there is " + explanation(list[0]) + " as well"
	}
	return fmt.Sprintf("tells %s from %s", explanation(list[0]), explanation(list[1]))
}

func explanation(x next.Explanation) string {
	if x.Sound {
		return "a sound system"
	}
	return faultWords(x.Kind, x.Where)
}

func faultWords(k fault.Kind, where string) string {
	switch k {
	case fault.Leak:
		if where == readings.Bin {
			where = "the dust bin"
		}
		return "a leak at " + where
	case fault.Blockage:
		return "a blockage at " + where
	case fault.GateRestricted:
		return "a half-open gate " + where
	case fault.GateLeaking:
		return "a leaking gate " + where
	case fault.FilterLoaded:
		return "a loaded filter"
	case fault.FanWeak:
		return "a weak fan"
	case fault.Undersized:
		return "a duct too narrow at " + where
	case fault.ReadingWrong:
		return "a wrong reading in " + where
	case fault.Altered:
		return "a changed duct " + where
	}
	return fault.NoCase("faultWords", k)
}
