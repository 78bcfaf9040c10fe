package observe

import (
	"fmt"

	"lostair/diagnose/airflow"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// airOfDay is how much denser the air was on the day of a survey than on the
// page, as a share, by the temperature, barometer and humidity in its rows: the
// mean of each; what was not read is as on the page.
func airOfDay(m *airflow.Model, s *readings.Survey) (float64, problem.List) {
	if len(s.Air) == 0 {
		return 0, nil
	}
	var sum, n [units.Humidity + 1]float64
	for _, r := range s.Air {
		sum[r.Quantity] += r.Value
		n[r.Quantity]++
	}
	mean := func(q units.Quantity) (float64, bool) { return sum[q] / max(n[q], 1), n[q] > 0 }
	rho, ok := m.DensityWith(mean)
	if ok {
		return rho/m.Air.Density - 1, nil
	}
	r := s.Air[0]
	return 0, problem.List{{File: s.File, Line: r.Line, Column: r.Columns.Value,
		What: fmt.Sprintf("there is no such air as the rows of the room say, from this one on: it would have %.2g of the density of the system file's", rho/m.Air.Density),
		Do:   "check temperature, barometer and humidity, and their units; a barometer is not reduced to sea level"}}
}
