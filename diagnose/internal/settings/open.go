package settings

import (
	"sort"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings"
)

// AloneOpen is the configuration of route.Alone in the words of a readings file.
func AloneOpen(m *airflow.Model, port int) readings.Open {
	o := readings.Open{Gates: m.Sys.GatesOf(port)}
	sort.Strings(o.Gates)
	return o
}

// OpenOf is a setting of the system file in the words of a readings file.
func OpenOf(t duct.Setting) readings.Open { return readings.Open{All: t.All, Gates: t.Gates} }
