package airflow

import "lostair/readings/units"

// Bounds of what is taken for the air of a day, as shares of the page's density.
const leastDense, mostDense = 0.7, 1.4

// DensityWith is the density of the page's air with what was read of it on a
// day in its place; false if that can't be, by far.
func (m *Model) DensityWith(read func(units.Quantity) (float64, bool)) (float64, bool) {
	a := m.Sys.Air
	t, p, h := a.Temperature, a.Barometer, a.Humidity
	if a.Standard {
		t = standardTemperature
	}
	if p == 0 {
		p = Barometer(a.Altitude)
	}
	for _, x := range []struct {
		q  units.Quantity
		to *float64
	}{{units.AirTemperature, &t}, {units.Barometer, &p}, {units.Humidity, &h}} {
		if v, ok := read(x.q); ok {
			*x.to = v
		}
	}
	if p <= 0 || t <= 0 || h < 0 || h*saturation(t) >= p {
		return 0, false
	}
	rho := Density(t, p, h)
	return rho, rho > leastDense*m.Air.Density && rho < mostDense*m.Air.Density
}
