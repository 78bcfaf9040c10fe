package settings

import (
	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/route"
	"lostair/readings"
)

// InUse lists the gate settings by which ports, speeds and fixes are judged:
// those that the system file says are in use, else each port's own gates.
func InUse(m *airflow.Model) []readings.Open {
	if len(m.Sys.Settings) > 0 {
		return settingsOf(m.Sys)
	}
	return eachAlone(m)
}

// settingsOf are the settings that the system file names, if it names any.
func settingsOf(sys *duct.System) []readings.Open {
	var out []readings.Open
	for _, t := range sys.Settings {
		out = append(out, OpenOf(t))
	}
	return out
}

// JudgedFor lists the settings in use in which a port draws air; where none is
// named, that with its own gates alone.
func JudgedFor(m *airflow.Model, port int) []Setting {
	if len(m.Sys.Settings) == 0 {
		return []Setting{{usualConfig(m, port), usual(m, port)}}
	}
	var out []Setting
	for _, o := range settingsOf(m.Sys) {
		if c, err := m.Configure(o.All, o.Gates, nil); err == nil && route.Reach(m, c)[port] {
			out = append(out, Setting{c, o})
		}
	}
	return out
}

// Hardest is the setting in use in which a port gets least by the page; false
// if it is open in none.
func Hardest(m *airflow.Model, port int) (Setting, bool) {
	all := JudgedFor(m, port)
	if len(all) < 2 {
		return append(all, Setting{})[0], len(all) == 1
	}
	best, least := 0, 0.0
	c, st := m.Coefs(), m.NewState()
	for i, x := range all {
		if st.Solve(&c, x.Cfg) != nil {
			continue
		}
		if q := st.PortFlow(port); i == 0 || q < least {
			best, least = i, q
		}
	}
	return all[best], true
}
