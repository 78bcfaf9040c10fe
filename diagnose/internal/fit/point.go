package fit

import "slices"

// Point is where a fit stands: parameters and severities.
type Point struct {
	Theta []float64
	Z     []float64
	Dual  []float64 // θ = μ + C·dual, with C before the factor on the spread; nil: not known
}

// Clone shares nothing with p.
func (p Point) Clone() Point {
	return Point{slices.Clone(p.Theta), slices.Clone(p.Z), slices.Clone(p.Dual)}
}
