package trade

import "lostair/readings/units"

// Diameters in which round pipe and hose are made, in mm and in inches. Pipe and
// hose makers' catalogues differ: a size may be missing at one. Common practice,
// no source.
var (
	metricSizes = [...]float64{50, 63, 80, 100, 125, 150, 160, 180, 200, 224, 250, 280, 300, 315, 355, 400, 450, 500, 560, 630, 710, 800, 900, 1000, 1120, 1250}
	usSizes     = [...]float64{2, 2.5, 3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30, 32, 36, 40, 44, 48}
	metricHoses = [...]float64{50, 63, 80, 100, 125, 150, 160, 180, 200, 250, 300, 315, 355, 400}
	usHoses     = [...]float64{2, 2.5, 3, 4, 5, 6, 8, 10, 12, 14, 16}
)

// Sizes are the diameters that are made, m, rising: of the trade of the
// units in which a shop is described.
func Sizes(u units.System) []float64 {
	if u == units.US {
		return inMetres(usSizes[:], 0.0254)
	}
	return inMetres(metricSizes[:], 0.001)
}

// HoseSizes are those of Sizes in which hose is usual too: the sizes between
// and beyond them are sold as pipe alone.
func HoseSizes(u units.System) []float64 {
	if u == units.US {
		return inMetres(usHoses[:], 0.0254)
	}
	return inMetres(metricHoses[:], 0.001)
}

func inMetres(sizes []float64, unit float64) []float64 {
	out := make([]float64, len(sizes))
	for i, x := range sizes {
		out[i] = x * unit
	}
	return out
}
