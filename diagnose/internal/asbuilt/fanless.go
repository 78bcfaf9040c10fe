package asbuilt

import (
	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
)

// fanlessSpread is how far the curve of a fan lies from what is taken for it
// where its file has no curve, one standard deviation of the logarithm; Bend is
// an amount.
type fanlessSpread struct {
	Suction, Air, Shape, Bend float64
}

// FanlessSpreads are by what the file tells of the fan. Two points of a maker's
// sheet are often the best of a line; a motor and a wheel leave the width and the
// blades of the wheel open. Common practice, no source.
var FanlessSpreads = [...]fanlessSpread{
	duct.ByEnds:    {Suction: 0.10, Air: 0.12, Shape: 0.30, Bend: 0.4},
	duct.ByMotor:   {Suction: 0.25, Air: 0.50, Shape: 0.30, Bend: 0.4},
	duct.ByNothing: {Suction: 0.40, Air: 0.50, Shape: 0.30, Bend: 0.4},
}

// fanSpread is that of one part of the fan's curve.
func fanSpread(w airflow.What, known duct.FanKnown) float64 {
	s := FanlessSpreads[known]
	switch {
	case known == duct.ByCurve:
		return Spreads[w].Own
	case w == airflow.FanPressure:
		return s.Suction
	case w == airflow.FanMostAir:
		return s.Air
	case w == airflow.FanBend:
		return s.Bend
	}
	return s.Shape
}

// RatedSpeed is how well the speed is known at which a curve holds, if its file
// says it. Common practice, no source.
const RatedSpeed = 0.005
