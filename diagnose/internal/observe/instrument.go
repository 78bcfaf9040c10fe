package observe

import (
	"lostair/readings/units"
)

// MeasuresOf is what the instrument of a quantity measures: a flow is read as a velocity.
func MeasuresOf(q units.Quantity) units.Dimension { return AnyOf(q).Measures }

// AnyOf is the instrument that stands in for a quantity where none is named.
func AnyOf(q units.Quantity) Instrument {
	any := AnyManometer
	switch q.Dimension() {
	case units.Velocity, units.Flow:
		any = AnyAnemometer
	case units.Rotation:
		any = AnyTachometer
	case units.Current:
		any = AnyClampMeter
	case units.Power:
		any = AnyPowerMeter
	}
	any.Id = any.Measures.String()
	return any
}

func UsedIn(list []string, id string) bool {
	for _, x := range list {
		if x == id {
			return true
		}
	}
	return false
}
