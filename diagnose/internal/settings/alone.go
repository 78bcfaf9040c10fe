package settings

import (
	"sort"

	"lostair/diagnose/airflow"
	"lostair/readings"
)

// AloneOpen is the configuration of alone in the words of a readings file.
func AloneOpen(m *airflow.Model, port int) readings.Open {
	var o readings.Open
	for d := m.Sys.Ports[port].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
		if g := m.Sys.Ducts[d].Gate; g != "" {
			o.Gates = append(o.Gates, g)
		}
	}
	sort.Strings(o.Gates)
	return o
}

// eachAlone is every port's own gates, or its machine's, each setting once.
func eachAlone(m *airflow.Model) []readings.Open {
	var out []readings.Open
	seen := map[string]bool{}
	for i := range m.Sys.Ports {
		o := usual(m, i)
		if s := o.String(); !seen[s] {
			seen[s] = true
			out = append(out, o)
		}
	}
	return out
}
