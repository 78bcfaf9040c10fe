package duct

import "lostair/readings/units"

// measured is what an instrument can measure, by the names of the system file.
var measured = map[string]units.Dimension{
	"pressure": units.Pressure, "velocity": units.Velocity,
	"speed": units.Rotation, "current": units.Current, "power": units.Power,
}
