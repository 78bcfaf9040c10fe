package duct

import (
	"math"

	"lostair/readings/units"
)

// Rectangular is whether a duct has a width and a height.
func (d *Duct) Rectangular() bool { return d.Width != 0 || d.Height != 0 }

// Sides is a rectangle's width by its height, as people write it.
func Sides(width, height float64, u units.System) string {
	return units.FormatBare(width, units.Diameter, u) + " x " + units.Format(height, units.Diameter, u)
}

// Hydraulic is the hydraulic diameter, m: four times the area over the perimeter.
// Of a round duct it is the diameter.
func (d *Duct) Hydraulic() float64 {
	if !d.Rectangular() {
		return d.Diameter
	}
	return 2 * d.Width * d.Height / (d.Width + d.Height)
}

// Perimeter is the length around the inside of a duct, m.
func (d *Duct) Perimeter() float64 {
	if !d.Rectangular() {
		return math.Pi * d.Diameter
	}
	return 2 * (d.Width + d.Height)
}

// MakeRound gives a duct a round section of a diameter.
func (d *Duct) MakeRound(diameter float64) { d.Diameter, d.Width, d.Height = diameter, 0, 0 }

// SetRectangle gives a duct a rectangular section.
func (d *Duct) SetRectangle(width, height float64) {
	d.Diameter, d.Width, d.Height = math.Sqrt(4/math.Pi*width*height), width, height
}
