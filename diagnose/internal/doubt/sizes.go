package doubt

import (
	"math"

	"lostair/readings/units"
)

// MetricSizes and InchSizes are the diameters that ducts are sold in, m.
// Common practice, no source.
var (
	MetricSizes = []float64{0.050, 0.063, 0.075, 0.080, 0.100, 0.120, 0.125, 0.140, 0.150, 0.160, 0.180, 0.200,
		0.225, 0.250, 0.280, 0.300, 0.315, 0.350, 0.355, 0.400, 0.450, 0.500, 0.560, 0.600, 0.630}
	InchSizes = []float64{0.0508, 0.0635, 0.0762, 0.1016, 0.127, 0.1524, 0.1778, 0.2032, 0.2286, 0.254, 0.3048, 0.3556, 0.4064,
		0.4572, 0.508, 0.5588, 0.6096}
)

// sizesNear lists the trade sizes for which a duct may be taken, those that
// differ by less than a reading could show left out. What is sold where a shop
// is described in inches is sold in inches.
func sizesNear(d float64, u units.System) []float64 {
	list := MetricSizes
	if u == units.US {
		list = InchSizes
	}
	var out []float64
	for _, t := range list {
		if r := t / d; r < 0.6 || r > 1.6 || math.Abs(r-1) < 0.06 {
			continue
		}
		if n := len(out); n > 0 && t/out[n-1] < 1.04 {
			continue
		}
		out = append(out, t)
	}
	return out
}
