package verify

import (
	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/route"
)

// portsRead says which ports the readings tell of at all: read at the port
// itself, or at a place through which, of the ports open then, its air alone
// came. Where nothing was read all that speaks for a port is that faults are
// rare, and that shows nothing. Readings set aside as wrong tell of none.
func (v *Verification) portsRead() []bool {
	m := v.S.M
	wrong := diagnose.WrongRowsOf(v.Out.Result.Checks)
	open := make([][]bool, len(v.all.Configs))
	for k, c := range v.all.Configs {
		open[k] = route.Reach(m, c.Config)
	}
	out := make([]bool, len(m.Sys.Ports))
	for i := range v.all.Observation {
		o := &v.all.Observation[i]
		if wrong[o.Rows[0]] {
			continue
		}
		rd := &v.all.Survey.Readings[o.Reading]
		if p, ok := m.Sys.PortNamed(rd.Point); ok {
			out[p] = out[p] || open[o.Cfg][p]
			continue
		}
		if from := v.Through(open[o.Cfg], v.S.DuctAt(rd.Point)); len(from) == 1 {
			out[from[0]] = true
		}
	}
	return out
}

// onlyIfRead takes back that a line passes, which is of a duct in a setting of the
// gates, where nothing tells of a port that draws through there.
func (v *Verification) onlyIfRead(l Line, cfg airflow.Config, duct int) Line {
	if l.Outcome != Pass {
		return l
	}
	for _, i := range v.Through(route.Reach(v.S.M, cfg), duct) {
		if !v.read[i] {
			l.Outcome, l.Unread = NotShown, v.S.M.Sys.Ports[i].ID
			break
		}
	}
	return l
}
