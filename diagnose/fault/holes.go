package fault

import "math"

// SeamDiameter, m: what leaks is a seam, a flange, a lid or a blade's edge. It
// grows with how far it is around the part, not with the part's area. Up to the
// diameter of a workshop's main the two are taken as one, and the whole bore may
// be open; a larger part has no larger hole for each metre around it. Common
// practice, no source: so the middling leak is a gap of 2.5 mm all the way around.
const SeamDiameter = 0.25

// LidDiameter, m, is that of the widest lid or outlet of a dust bin: under a large
// cyclone stand a drum or a rotary valve of half a metre or so, not a bin of the
// duct's size. Common practice, no source.
const LidDiameter = 0.6

// mostOpen is the largest hole there can be in a part of some bore, m2.
func mostOpen(bore float64) float64 {
	if d := diameterOf(bore); d > SeamDiameter {
		return bore * SeamDiameter / d
	}
	return bore
}

// mostOpenBin is that of a bin under a cyclone with an inlet of some bore.
func mostOpenBin(bore float64) float64 {
	return mostOpen(min(bore, math.Pi/4*LidDiameter*LidDiameter))
}

func diameterOf(bore float64) float64 { return math.Sqrt(4 * bore / math.Pi) }
