package settings

import (
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/route"
	"lostair/readings"
)

// usual is the setting in which a port is used where none is named: its own gates
// alone, and with them those of the other ports of its machine, which has one need.
func usual(m *airflow.Model, port int) readings.Open {
	o := AloneOpen(m, port)
	x, ok := m.Sys.MachineOf(port)
	if !ok {
		return o
	}
	for _, p := range x.Ports {
		o.Gates = append(o.Gates, AloneOpen(m, p).Gates...)
	}
	slices.Sort(o.Gates)
	o.Gates = slices.Compact(o.Gates)
	return o
}

// usualConfig is that setting as a configuration.
func usualConfig(m *airflow.Model, port int) airflow.Config {
	if _, ok := m.Sys.MachineOf(port); !ok {
		return route.Alone(m, port)
	}
	c, err := m.Configure(false, usual(m, port).Gates, nil)
	if err != nil { // its gates are the system's
		return route.Alone(m, port)
	}
	return c
}
