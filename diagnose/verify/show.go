package verify

import (
	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/route"
	"lostair/readings"
	"lostair/readings/units"
)

// outlook keeps the last one: lines of a setting come one after the other.
func (v *Verification) outlook(cfg airflow.Config) *outlook {
	if v.last != nil && key(v.last.cfg) == key(cfg) {
		return v.last
	}
	s, f := v.S, v.Sets[0]
	s.SetCoefs(f.At, f.Faults)
	x := &outlook{cfg: cfg, st: s.M.NewState()}
	if x.st.Solve(&s.Coef, cfg) != nil {
		return nil
	}
	x.st.Prepare()
	x.list = v.Candidates(cfg)
	for _, c := range x.list {
		r, rz := v.Gradient(x.st, c.Probe)
		noise := c.By.Sigma(x.st.Value(c.Probe), c.Probe.Quantity(), c.Probe, s.M.Air.Density)
		x.row, x.gz, x.spread = append(x.row, r), append(x.gz, rz), append(x.spread, s.Variance(f, r, rz)+noise*noise)
	}
	v.last = x
	return x
}

// show names for a line that is not shown the reading that would narrow it most.
func (v *Verification) show(l *Line, cfg airflow.Config, what airflow.Probe) {
	if l.Outcome != NotShown {
		return
	}
	x := v.outlook(cfg)
	if x == nil {
		return
	}
	s, f := v.S, v.Sets[0]
	s.SetCoefs(f.At, f.Faults)
	row, gz := v.Gradient(x.st, what)
	with := s.CovarianceWith(f, row, gz)
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
	read := x.list[best].Read
	read.Open = l.Open
	read.Better = gain < 0.2*s.Variance(f, row, gz) || v.hasRead(read.Point, l.Open)
	l.Show = &read
}

// hasRead says whether the survey has read a point in a setting of the gates already.
func (v *Verification) hasRead(point string, open readings.Open) bool {
	for _, r := range v.all.Survey.Readings {
		if r.Point == point && r.Open.String() == open.String() {
			return true
		}
	}
	return false
}

// Candidates are the mouths of the open ports and the taps on their ways.
func (v *Verification) Candidates(cfg airflow.Config) []showable {
	m := v.S.M
	meter, vane := observe.AnyManometer, observe.AnyAnemometer
	for _, in := range m.Sys.Instruments {
		if in.Measures == units.Pressure {
			meter = observe.Instrument{Id: in.ID, Measures: in.Measures, OfReading: in.OfReading, Floor: in.Floor}
		} else if in.Measures == units.Velocity {
			vane = observe.Instrument{Id: in.ID, Measures: in.Measures, OfReading: in.OfReading, Floor: in.Floor}
		}
	}
	var out []showable
	seen := make([]bool, len(m.Sys.Ducts))
	for i, ok := range route.Reach(m, cfg) {
		if !ok {
			continue
		}
		if p, err := m.ProbeAt(m.Sys.Ports[i].ID, units.MeanVelocity); err == nil {
			out = append(out, showable{ToRead{Point: m.Sys.Ports[i].ID, Quantity: units.MeanVelocity, Mouth: true}, p, vane})
		}
		for d := m.Sys.Ports[i].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
			if seen[d] {
				continue
			}
			seen[d] = true
			for _, t := range m.Sys.Ducts[d].Taps {
				if p, err := m.ProbeAt(t.ID, units.StaticPressure); err == nil {
					out = append(out, showable{ToRead{Point: t.ID, Quantity: units.StaticPressure}, p, meter})
				}
				if p, err := m.ProbeAt(t.ID, units.MeanVelocity); err == nil {
					out = append(out, showable{ToRead{Point: t.ID, Quantity: units.MeanVelocity}, p, vane})
				}
			}
		}
	}
	return out
}

// Gradient is the derivative of a probe by parameters and severities of the likeliest set.
func (v *Verification) Gradient(st *airflow.State, p airflow.Probe) (row, gz []float64) {
	s, f := v.S, v.Sets[0]
	st.Sensitivity(p, s.Grad)
	row, gz = make([]float64, s.N), make([]float64, len(f.Faults))
	s.U.Row(s.Grad, s.Vals, row)
	for k, x := range f.Faults {
		for _, e := range x.Slopes(&s.Coef, f.At.Z[k]) {
			gz[k] += *e.Slot.Of(&s.Grad.Coefs) * e.By
		}
	}
	return row, gz
}
