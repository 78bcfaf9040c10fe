package airflow

import (
	"lostair/diagnose/handbook"
	"lostair/readings/units"
)

// Bounds of what is taken for the air of a day, as shares of the page's density.
const leastDense, mostDense = 0.7, 1.4

// DensityWith is the density of the page's air with what was read of it on a
// day in its place; false if that can't be, by far.
func (m *Model) DensityWith(read func(units.Quantity) (float64, bool)) (float64, bool) {
	rho, ok := handbook.DensityWith(m.Sys.Air, read)
	return rho, ok && rho > leastDense*m.Air.Density && rho < mostDense*m.Air.Density
}
