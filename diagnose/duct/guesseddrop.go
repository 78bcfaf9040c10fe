package duct

import "math"

// What a part of the collector loses of which the file says only that it is there. A
// cyclone and a filter are made for about the air that their inlet carries. Common
// practice, no source.
const (
	GuessedInletAir = 20.0  // m/s in the collector's inlet
	GuessedCyclone  = 500.0 // Pa at that air
	GuessedFilter   = 150.0 // Pa at that air, clean
)

// GuessedDrop is the loss of such a part, cyclone or filter, at an inlet of that diameter.
func GuessedDrop(what string, inlet float64) *Drop {
	d := &Drop{Guessed: true, Pressure: GuessedCyclone, At: GuessedInletAir * math.Pi / 4 * inlet * inlet}
	if what == "filter" {
		d.Pressure = GuessedFilter
	}
	return d
}
