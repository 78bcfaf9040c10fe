package plant

import (
	"math"
	"strconv"

	"lostair/readings/units"
)

// Diameters that pipe is sold in, mm and in. Common practice, no source.
var (
	sizesMetric = []float64{80, 100, 120, 125, 140, 150, 160, 180, 200, 225, 250, 280, 315, 355, 400, 450, 500, 560, 630, 710, 800, 900,
		1000, 1120, 1250, 1400, 1600, 1800, 2000, 2240, 2500, 2800, 3150, 3550, 4000, 4500}
	sizesUS = []float64{3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30, 34, 38, 42, 48, 54, 60, 66, 72, 80, 88, 96,
		108, 120, 132, 150, 170, 190}
)

func sizes(u units.System) []float64 {
	if u == units.US {
		return sizesUS
	}
	return sizesMetric
}

// diameter of the size with that index, m.
func diameter(u units.System, i int) float64 { return units.Diameter.ToSI(u, sizes(u)[i]) }

// sizeFor is the index of the largest size in which q runs at v or faster,
// but at least as large as least.
func sizeFor(u units.System, q, v float64, least int) int {
	i := least
	for i+1 < len(sizes(u)) && q/Bore(diameter(u, i+1)) >= v {
		i++
	}
	return i
}

// Bore is the area of a diameter.
func Bore(d float64) float64 { return math.Pi / 4 * d * d }

// lengthOf gives a length that a person would write down, m.
func lengthOf(u units.System, m float64) float64 {
	if u == units.US {
		ft := max(Round(units.Length.FromSI(u, m), 0.5), 1)
		return units.Length.ToSI(u, ft)
	}
	return max(Round(m, 0.1), 0.3)
}

// neat rounds an SI value to steps of the unit that a bare number has.
func neat(si float64, d units.Dimension, u units.System, metric, us float64) float64 {
	step := metric
	if u == units.US {
		step = us
	}
	return d.ToSI(u, Round(d.FromSI(u, si), step))
}

// Round rounds v to a multiple of step, the decimal number itself.
func Round(v, step float64) float64 {
	x, _ := strconv.ParseFloat(strconv.FormatFloat(math.Round(v/step)*step, 'f', 9, 64), 64)
	return x
}
