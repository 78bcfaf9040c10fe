package indicator

import (
	"lostair/diagnose/airflow"
)

// ZonesOf divides the ducts into zones whose leaks are tracked as one: each run
// of trunk between joins, and each drop with all that belongs to one port only.
func ZonesOf(m *airflow.Model) [][]int {
	serves := make([]int, len(m.Sys.Ducts))
	for _, p := range m.Sys.Ports {
		for d := p.Duct; d >= 0; d = m.Sys.Ducts[d].Into {
			serves[d]++
		}
	}
	zone := make([]int, len(m.Sys.Ducts))
	var out [][]int
	for _, d := range m.Sys.Order {
		into := m.Sys.Ducts[d].Into
		if into >= 0 && serves[into] == serves[d] {
			zone[d] = zone[into]
			out[zone[d]] = append(out[zone[d]], d)
			continue
		}
		zone[d] = len(out)
		out = append(out, []int{d})
	}
	return out
}
