package observe

import (
	"lostair/readings/units"
)

func MeasuresOf(q units.Quantity) units.Dimension {
	if d := q.Dimension(); d == units.Velocity || d == units.Flow {
		return units.Velocity
	}
	return units.Pressure
}

func UsedIn(list []string, id string) bool {
	for _, x := range list {
		if x == id {
			return true
		}
	}
	return false
}
