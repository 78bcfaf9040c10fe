package settings

import (
	"sort"

	"lostair/diagnose/airflow"
	"lostair/readings"
)

// AloneOpen is the configuration of alone in the words of a readings file.
func AloneOpen(m *airflow.Model, port int) readings.Open {
	o := readings.Open{Gates: m.Sys.GatesOf(port)}
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
