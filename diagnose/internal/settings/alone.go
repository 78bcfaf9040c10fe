package settings

import (
	"lostair/diagnose/airflow"
	"lostair/diagnose/route"
	"lostair/readings"
)

// Nearest is the setting in which a port is read on its own, as far as the settings in
// use allow, and its configuration.
func Nearest(m *airflow.Model, port int) Setting {
	o := OpenOf(m.Sys.Nearest(port))
	if c, err := m.Configure(o.All, o.Gates, nil); err == nil {
		return Setting{c, o}
	}
	return Setting{route.Alone(m, port), AloneOpen(m, port)} // its gates are the system's
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
