package duct

import "math"

// Area is its inside area, m².
func (o *Opening) Area() float64 {
	if o.Diameter > 0 {
		return math.Pi / 4 * o.Diameter * o.Diameter
	}
	return o.Width * o.Height
}
