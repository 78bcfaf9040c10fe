package weigh

import (
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/route"
	"lostair/readings/units"
)

// Places lists what may be broken, beside a baseline what may have changed since,
// and of a new install what may have been built otherwise.
func Places(m *airflow.Model, baseline bool, job fault.Job) []*fault.Site {
	out := fault.SitesOf(m, job)
	switch {
	case job == fault.NewInstall:
		out = append(out, fault.Deviations(m, len(out))...)
	case baseline:
		out = append(out, fault.Alterations(m, len(out))...)
	}
	return out
}

// stillAir is how many 95 % limits of its instrument at zero a reading of the air at
// a port may be and still count as no air.
const stillAir = 2.0

// WithPlugs adds to what lies on a port's own way that it may be closed altogether,
// where a port is read without air although its gates stand open.
func WithPlugs(list []*fault.Site, m *airflow.Model, b *observe.Bound) []*fault.Site {
	trunk := route.Trunks(m.Sys)
	for _, port := range still(m, b) {
		way := route.Own(m, port, trunk)
		for _, s := range list {
			if s.Duct >= 0 && slices.Contains(way, s.Duct) {
				s.Plug()
			}
		}
	}
	return list
}

// still lists the ports where no air was read with their gates open.
func still(m *airflow.Model, b *observe.Bound) []int {
	var out []int
	for i := range b.Observation {
		o := &b.Observation[i]
		r := &b.Survey.Readings[o.Reading]
		port, ok := m.Sys.PortNamed(r.Point)
		if !ok || !route.Reach(m, b.Configs[o.Cfg].Config)[port] {
			continue
		}
		none := observe.AnyAnemometer.Floor
		if o.By.Measures == units.Velocity {
			none = o.By.Floor
		}
		v := o.Y
		switch r.Quantity {
		case units.MeanVelocity, units.CentreVelocity:
		case units.FlowRate:
			v /= o.Probe.Bore()
		default:
			continue
		}
		if v < stillAir*none && !slices.Contains(out, port) {
			out = append(out, port)
		}
	}
	return out
}
