package diagnose

import (
	"strings"

	"lostair/diagnose/airflow"
	"lostair/readings"
	"lostair/readings/units"
)

// outlook is what could be read in a setting of the gates, under the likeliest set.
type outlook struct {
	cfg     airflow.Config
	st      *airflow.State
	list    []showable
	row, gz [][]float64 // derivatives of each
	spread  []float64   // variance of what would be read, as known now
}

// outlook keeps the last one: lines of a setting come one after the other.
func (v *verification) outlook(cfg airflow.Config) *outlook {
	if v.last != nil && key(v.last.cfg) == key(cfg) {
		return v.last
	}
	s, f := v.s, v.sets[0]
	s.setCoefs(f.at, f.faults)
	x := &outlook{cfg: cfg, st: s.m.NewState()}
	if x.st.Solve(&s.coef, cfg) != nil {
		return nil
	}
	x.st.Prepare()
	x.list = v.candidates(cfg)
	for _, c := range x.list {
		r, rz := v.gradient(x.st, c.probe)
		noise := c.by.sigma(x.st.Value(c.probe), c.probe.Quantity(), c.probe, s.m.Air.Density)
		x.row, x.gz, x.spread = append(x.row, r), append(x.gz, rz), append(x.spread, s.variance(f, r, rz)+noise*noise)
	}
	v.last = x
	return x
}

// show names for a line that is not shown the reading that would narrow it most.
func (v *verification) show(l *Line, cfg airflow.Config, what airflow.Probe) {
	if l.Outcome != NotShown {
		return
	}
	x := v.outlook(cfg)
	if x == nil {
		return
	}
	s, f := v.s, v.sets[0]
	s.setCoefs(f.at, f.faults)
	row, gz := v.gradient(x.st, what)
	with := s.covarianceWith(f, row, gz)
	best, gain := -1, 0.0
	for k := range x.list {
		cov := with(x.row[k], x.gz[k])
		if g := cov * cov / x.spread[k]; g > gain {
			best, gain = k, g
		}
	}
	if best < 0 {
		return
	}
	if l.Show = x.list[best].name + ", with " + openWords(l.Open); gain < 0.2*s.variance(f, row, gz) || v.hasRead(x.list[best].point, l.Open) {
		l.Show += ", several times or with an instrument that errs less"
	}
}

// hasRead says whether the survey has read a point in a setting of the gates already.
func (v *verification) hasRead(point string, open readings.Open) bool {
	for _, r := range v.all.survey.Readings {
		if r.Point == point && r.Open.String() == open.String() {
			return true
		}
	}
	return false
}

// showable is a reading that could be taken.
type showable struct {
	name  string
	point string
	probe airflow.Probe
	by    instrumentSpec
}

// candidates are the mouths of the open ports and the taps on their ways.
func (v *verification) candidates(cfg airflow.Config) []showable {
	m := v.s.m
	meter, vane := anyManometer, anyAnemometer
	for _, in := range m.Sys.Instruments {
		if in.Measures == units.Pressure {
			meter = instrumentSpec{in.ID, in.Measures, in.OfReading, in.Floor}
		} else if in.Measures == units.Velocity {
			vane = instrumentSpec{in.ID, in.Measures, in.OfReading, in.Floor}
		}
	}
	var out []showable
	seen := make([]bool, len(m.Sys.Ducts))
	for i, ok := range reach(m, cfg) {
		if !ok {
			continue
		}
		if p, err := m.ProbeAt(m.Sys.Ports[i].ID, units.MeanVelocity); err == nil {
			out = append(out, showable{"the velocity at the mouth of " + m.Sys.Ports[i].ID, m.Sys.Ports[i].ID, p, vane})
		}
		for d := m.Sys.Ports[i].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
			if seen[d] {
				continue
			}
			seen[d] = true
			for _, t := range m.Sys.Ducts[d].Taps {
				if p, err := m.ProbeAt(t.ID, units.StaticPressure); err == nil {
					out = append(out, showable{"the static pressure at " + t.ID, t.ID, p, meter})
				}
				if p, err := m.ProbeAt(t.ID, units.MeanVelocity); err == nil {
					out = append(out, showable{"the velocity at " + t.ID + " by a traverse", t.ID, p, vane})
				}
			}
		}
	}
	return out
}

// gradient is the derivative of a probe by parameters and severities of the likeliest set.
func (v *verification) gradient(st *airflow.State, p airflow.Probe) (row, gz []float64) {
	s, f := v.s, v.sets[0]
	st.Sensitivity(p, s.grad)
	row, gz = make([]float64, s.n), make([]float64, len(f.faults))
	s.u.row(s.grad, s.vals, row)
	for k, x := range f.faults {
		for _, e := range x.slopes(&s.coef, f.at.z[k]) {
			gz[k] += *e.slot.Of(&s.grad.Coefs) * e.by
		}
	}
	return row, gz
}

func openWords(o readings.Open) string {
	switch {
	case o.All:
		return "all gates open"
	case len(o.Gates) == 0:
		return "all gates shut"
	}
	return strings.Join(o.Gates, " + ") + " open"
}
