package diagnose

import (
	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings"
)

// inUse lists the gate settings by which ports, speeds and fixes are judged:
// those that the system file says are in use, else each port's own gates.
func inUse(m *airflow.Model) []readings.Open {
	if len(m.Sys.Settings) > 0 {
		return settingsOf(m.Sys)
	}
	return eachAlone(m)
}

// settingsOf are the settings that the system file names, if it names any.
func settingsOf(sys *duct.System) []readings.Open {
	var out []readings.Open
	for _, t := range sys.Settings {
		out = append(out, readings.Open{All: t.All, Gates: t.Gates})
	}
	return out
}

// judgedFor lists the settings in use in which a port draws air; where none is
// named, that with its own gates alone.
func judgedFor(m *airflow.Model, port int) []judgedConfig {
	if len(m.Sys.Settings) == 0 {
		return []judgedConfig{{alone(m, port), aloneOpen(m, port)}}
	}
	var out []judgedConfig
	for _, o := range settingsOf(m.Sys) {
		if c, err := m.Configure(o.All, o.Gates, nil); err == nil && reach(m, c)[port] {
			out = append(out, judgedConfig{c, o})
		}
	}
	return out
}

// hardest is the setting in use in which a port gets least by the page; false
// if it is open in none.
func hardest(m *airflow.Model, port int) (judgedConfig, bool) {
	all := judgedFor(m, port)
	if len(all) < 2 {
		return append(all, judgedConfig{})[0], len(all) == 1
	}
	best, least := 0, 0.0
	c, st := m.Coefs(), m.NewState()
	for i, x := range all {
		if st.Solve(&c, x.cfg) != nil {
			continue
		}
		if q := st.PortFlow(port); i == 0 || q < least {
			best, least = i, q
		}
	}
	return all[best], true
}
