package observe

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/readings/units"
)

// Instrument is what holds for one reading's errors.
type Instrument struct {
	Id        string
	Measures  units.Dimension
	OfReading float64 // 95 %
	Floor     float64 // 95 %
}

// Instruments that stand in where the survey names none: a water manometer
// read to 2 mm and a hand-held vane anemometer. Common practice, no source.
var (
	AnyManometer  = Instrument{"", units.Pressure, 0.02, 10}
	AnyAnemometer = Instrument{"", units.Velocity, 0.04, 0.3}

	// of the fan: a tachometer, a clamp meter, a plug-in power meter
	AnyTachometer = Instrument{"", units.Rotation, 0.01, 0.1}
	AnyClampMeter = Instrument{"", units.Current, 0.03, 0.1}
	AnyPowerMeter = Instrument{"", units.Power, 0.03, 10}
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

// Sigma is one standard deviation of a reading in its own dimension.
func (in Instrument) Sigma(y float64, q units.Quantity, p airflow.Probe, density float64) float64 {
	switch q {
	case units.FlowRate:
		// a flow carries the error of the velocity it came from
		a := p.Bore()
		return a * in.Sigma(y/a, units.MeanVelocity, p, density)
	case units.MeanVelocity, units.CentreVelocity:
		if in.Measures == units.Pressure {
			// a velocity worked out from a velocity pressure
			v := max(math.Abs(y), 0.5)
			vp := density / 2 * v * v
			return v / 2 * max(in.OfReading, in.Floor/vp) / Normal95
		}
	}
	e := max(in.OfReading*math.Abs(y), in.Floor)
	if e == 0 { // by its share alone it would know zero for certain
		e = AnyOf(q).Floor
	}
	return e / Normal95
}

// Normal95 is the 97.5 % point of the normal distribution.
const Normal95 = 1.959963984540054

func UsedIn(list []string, id string) bool {
	for _, x := range list {
		if x == id {
			return true
		}
	}
	return false
}
