package diagnose

import (
	"lostair/diagnose/airflow"
)

// portsRead says which ports the readings tell of at all: read at the port
// itself, or at a place through which, of the ports open then, its air alone
// came. Where nothing was read all that speaks for a port is that faults are
// rare, and that shows nothing. Readings set aside as wrong tell of none.
func (v *verification) portsRead() []bool {
	m := v.s.m
	wrong := wrongRowsOf(v.out.Result.Checks)
	open := make([][]bool, len(v.all.configs))
	for k, c := range v.all.configs {
		open[k] = reach(m, c.Config)
	}
	out := make([]bool, len(m.Sys.Ports))
	for i := range v.all.obs {
		o := &v.all.obs[i]
		if wrong[o.rows[0]] {
			continue
		}
		rd := &v.all.survey.Readings[o.reading]
		if p, ok := m.Sys.PortNamed(rd.Point); ok {
			out[p] = out[p] || open[o.cfg][p]
			continue
		}
		if from := v.through(open[o.cfg], v.s.ductAt(rd.Point)); len(from) == 1 {
			out[from[0]] = true
		}
	}
	return out
}

// onlyIfRead takes back that a line passes, which is of a duct in a setting of the
// gates, where nothing tells of a port that draws through there.
func (v *verification) onlyIfRead(l Line, cfg airflow.Config, duct int) Line {
	if l.Outcome != Pass {
		return l
	}
	for _, i := range v.through(reach(v.s.m, cfg), duct) {
		if !v.read[i] {
			l.Outcome, l.Remark = NotShown, "nothing that was read tells of "+v.s.m.Sys.Ports[i].ID
			break
		}
	}
	return l
}
